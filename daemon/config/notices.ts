// Config → who is told and how, with the secrets read from their files. It sends nothing.

import type { DispatchSettings } from "../outputs/notices/dispatch.ts";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";
import { readSecret } from "./secret.ts";

/**
 * Null where nobody is to be told.
 * @throws RequestError when there is no way to tell, a user without a password, or a secret's file that cannot be read
 */
export function noticesOf(read: ReadConfig): DispatchSettings | null {
  const { notices } = read.config;
  if (notices === undefined) return null;
  const { email, webhook, lowest, repeat, letters_per_hour } = notices;
  if (email === undefined && webhook === undefined) {
    throw refused(read, [], "a table [notices.email] or [notices.webhook]", "neither");
  }
  if ((email?.user === undefined) !== (email?.password_file === undefined)) {
    throw refused(read, ["email"], "user and password_file together", "only one of them");
  }
  return {
    lowestPriority: lowest,
    repeatSeconds: repeat,
    lettersPerHour: letters_per_hour,
    email:
      email === undefined
        ? null
        : {
            host: email.host,
            port: email.port,
            secure: email.tls,
            requireTls: !email.unencrypted && !email.tls,
            user: email.user ?? null,
            password:
              email.password_file === undefined ? null : secret(read, ["email", "password_file"], email.password_file),
            from: email.from,
            to: email.to,
          },
    webhook:
      webhook === undefined
        ? null
        : { url: webhook.url, secret: secret(read, ["webhook", "secret_file"], webhook.secret_file) },
  };
}

const secret = (read: ReadConfig, path: readonly string[], file: string): string => readSecret(file, keyOf(read, path));

function keyOf(read: ReadConfig, path: readonly string[]): { readonly what: string; readonly where: string } {
  const key = ["notices", ...path];
  return { what: key.join("."), where: read.placeOf(key) };
}

function refused(read: ReadConfig, path: readonly string[], expected: string, got: string): RequestError {
  return new RequestError([{ ...keyOf(read, path), expected, got }]);
}
