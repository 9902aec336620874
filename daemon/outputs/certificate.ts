// The page's own certificate and key: read, found to belong together, and read again when the files change. It makes none.

import { createPrivateKey, X509Certificate } from "node:crypto";
import { readFileSync, statSync } from "node:fs";
import type { Server as AnyServer } from "node:http";
import { Server } from "node:https";
import { createSecureContext } from "node:tls";
import type { Cancel, Clock } from "../../hardware/ports.ts";

export type CertificateFiles = { readonly certificate: string; readonly key: string };
/** PEM texts, as Node's TLS takes them. */
export type Certificate = { readonly cert: string; readonly key: string };

/** RFC 8996 retired what is older. */
export const OLDEST_TLS = "TLSv1.2";
/** Certificates are renewed every few weeks or months. */
const LOOK_SECONDS = 60;

/** Which of the two files is at fault, and how. */
export class CertificateTrouble extends Error {
  readonly file: keyof CertificateFiles;
  readonly expected: string;

  constructor(file: keyof CertificateFiles, expected: string, got: string) {
    super(got);
    this.name = "CertificateTrouble";
    this.file = file;
    this.expected = expected;
  }
}

/** @throws CertificateTrouble when they cannot be read or do not belong together */
export function readCertificate(files: CertificateFiles): Certificate {
  const [cert, key] = [textOf(files, "certificate"), textOf(files, "key")];
  let first: X509Certificate;
  try {
    first = new X509Certificate(cert);
  } catch {
    throw new CertificateTrouble(
      "certificate",
      "a certificate in PEM, with those that lead to its root behind it",
      files.certificate,
    );
  }
  let fits: boolean;
  try {
    fits = first.checkPrivateKey(createPrivateKey(key));
  } catch {
    throw new CertificateTrouble("key", "a private key in PEM without a passphrase", files.key);
  }
  if (!fits)
    throw new CertificateTrouble("key", `the private key of ${files.certificate}`, `another key in ${files.key}`);
  try {
    // What only TLS minds: a spoilt one further down, a key that is too short today.
    createSecureContext({ cert, key, minVersion: OLDEST_TLS });
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    throw new CertificateTrouble("certificate", "certificates that TLS takes", `${files.certificate} (${said})`);
  }
  return { cert, key };
}

function textOf(files: CertificateFiles, which: keyof CertificateFiles): string {
  try {
    return readFileSync(files[which], "utf8");
  } catch (error) {
    const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
    throw new CertificateTrouble(which, "a file that the daemon may read", `${files[which]} (${code})`);
  }
}

/**
 * Gives a server that has a certificate the new pair once both files are whole again; until then it keeps the old one. Returns the end of watching.
 * `note` hears of each change and of each trouble once.
 */
export function followCertificate(
  server: AnyServer,
  files: CertificateFiles | null,
  clock: Clock,
  note: (text: string) => void,
): Cancel {
  if (files === null) return () => {};
  let known = stampOf(files);
  let said = "";
  let cancel: Cancel;
  const look = (): void => {
    cancel = clock.after(LOOK_SECONDS, look);
    const now = stampOf(files);
    if (now === known || !(server instanceof Server)) return;
    try {
      server.setSecureContext({ ...readCertificate(files), minVersion: OLDEST_TLS });
      known = now;
      said = "";
      note("the page has a new certificate");
    } catch (error) {
      const text = `the page keeps its old certificate: ${wordsOf(error)}`;
      if (text !== said) note(text);
      said = text;
    }
  };
  cancel = clock.after(LOOK_SECONDS, look);
  return () => cancel();
}

/** Changes whenever one of the files does, also where a link leads elsewhere; what cannot be seen is a state like any other. */
function stampOf(files: CertificateFiles): string {
  return (["certificate", "key"] as const)
    .map((which) => {
      try {
        const status = statSync(files[which]);
        return `${status.ino} ${status.mtimeMs}`;
      } catch (error) {
        return error instanceof Error ? error.message : String(error);
      }
    })
    .join();
}

function wordsOf(error: unknown): string {
  if (error instanceof CertificateTrouble) return `expected ${error.expected}, got ${error.message}`;
  return error instanceof Error ? error.message : String(error);
}
