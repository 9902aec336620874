// Who is told: the table [notices] with its secrets in files, and every way in which it can be wrong, each with its line.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { noticesOf } from "../../daemon/config/notices.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { RequestError } from "../../daemon/config/problem.ts";
import { testFolder } from "../support/folder.ts";

const TRANSFORMER = `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n`;
const MAIL = `[notices.email]\nhost = "mail.example.org"\nfrom = "feedpoint@example.org"\nto = ["me@example.org"]\n`;

const read = (tables: string) => noticesOf(parseConfig(TRANSFORMER + tables, "n.toml"));

/** What, where, expected and got of the first problem. */
function refusal(tables: string): string {
  try {
    read(tables);
  } catch (error) {
    if (error instanceof RequestError) return error.message;
    throw error;
  }
  return "accepted";
}

describe("notices", () => {
  it("are nobody's without a table", () => {
    expect(read("")).toBeNull();
  });

  it("by mail are encrypted, on the submission port, and repeated by the defaults", () => {
    expect(read(MAIL)).toEqual({
      lowestPriority: "medium",
      repeatSeconds: 300,
      lettersPerHour: 12,
      // RFC 6409, section 3.1: message submission on port 587.
      email: {
        host: "mail.example.org",
        port: 587,
        secure: false,
        requireTls: true,
        user: null,
        password: null,
        from: "feedpoint@example.org",
        to: ["me@example.org"],
      },
      webhook: null,
    });
  });

  it("take a secret from the first line of its file", () => {
    const file = join(testFolder(), "secret");
    writeFileSync(file, "orchard\r\nanything below\n");
    const hook = `[notices.webhook]\nurl = "https://example.org/hook"\nsecret_file = "${file}"\n`;
    expect(read(hook)?.webhook).toEqual({ url: "https://example.org/hook", secret: "orchard" });
    expect(read(`${MAIL}user = "gate"\npassword_file = "${file}"\n`)?.email).toMatchObject({
      user: "gate",
      password: "orchard",
    });
  });

  it("over TLS from the first byte need no second encryption", () => {
    expect(read(`${MAIL}tls = true\nport = 465\n`)?.email).toMatchObject({ secure: true, requireTls: false });
  });

  it.each([
    ["no way to tell", "[notices]\nlowest = 'high'\n", /^n\.toml:5: notices: expected a table \[notices\.email\] or/],
    [
      "a user without a password",
      `${MAIL}user = "gate"\n`,
      /^n\.toml:5: notices\.email: expected user and password_file/,
    ],
    [
      "a file that is not there",
      `${MAIL}user = "g"\npassword_file = "/nowhere/x"\n`,
      /^n\.toml:10: notices\.email\.password_file: .*there is none/,
    ],
    [
      "no address",
      MAIL.replace("me@example.org", "me"),
      /^n\.toml:8: notices\.email\.to.*an address such as me@example\.org/,
    ],
    ["two addresses in one", MAIL.replace("me@", "a@b.org,me@"), /an address such as/],
    [
      "a scheme that is none",
      `[notices.webhook]\nurl = "file:///etc/passwd"\nsecret_file = "x"\n`,
      /begins with https/,
    ],
    ["an unknown key", `${MAIL}pasword = "x"\n`, /pasword/],
  ])("are refused with %s", (_what, tables, words) => {
    expect(refusal(tables)).toMatch(words);
  });

  it("are refused with an empty secret, and with a file that is no secret", () => {
    const folder = testFolder();
    const hook = (file: string) => `[notices.webhook]\nurl = "https://example.org/"\nsecret_file = "${file}"\n`;
    writeFileSync(join(folder, "empty"), "\n");
    writeFileSync(join(folder, "large"), "x".repeat(5000));
    expect(refusal(hook(join(folder, "empty")))).toMatch(/secret_file: .*which is empty$/);
    expect(refusal(hook(join(folder, "large")))).toMatch(/secret_file: .* with \d+ bytes$/);
  });
});
