// A self-signed certificate and its key, made by the very line of openssl that the README gives.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { CertificateFiles } from "../../daemon/outputs/certificate.ts";
import { exec } from "../../systemd/package/exec.ts";

/** The only name in it. */
export const CERTIFIED_NAME = "feedpoint.local";

const LINE = /^ *`(openssl req -x509 .*-keyout key\.pem -out certificate\.pem)`/m.exec(
  readFileSync("README.md", "utf8"),
)?.[1];

/** Makes `certificate.pem` and `key.pem` in `folder`. Rejects when the line is gone from the README or there is no openssl. */
export async function makeCertificate(folder: string): Promise<CertificateFiles> {
  if (LINE === undefined) throw new Error("the README has no line any more that makes a certificate with openssl");
  const [program = "", ...words] = LINE.split(" ");
  await exec(program, words, { cwd: folder, deadlineSeconds: 20 }).catch((error: Error) => {
    throw new Error(`this test makes a certificate with openssl (Debian: apt install openssl): ${error.message}`);
  });
  return { certificate: join(folder, "certificate.pem"), key: join(folder, "key.pem") };
}
