// The page's own certificate as a browser will see it: whole, with its key, not run out, and for the names that the config gives.
// Whether the browser knows who signed it cannot be told from here.

import { X509Certificate } from "node:crypto";
import type { Clock } from "../../hardware/ports.ts";
import { type CertificateFiles, CertificateTrouble, readCertificate } from "../outputs/certificate.ts";
import { type Finding, wellDone } from "./finding.ts";

/** Time enough to look after it before it runs out. */
const SOON_DAYS = 14;
const DAY_SECONDS = 86_400;

/** No finding where the page has none. */
export function checkCertificate(
  files: CertificateFiles | null,
  names: readonly string[],
  clock: Pick<Clock, "wallSeconds" | "wallIsTrusted">,
): readonly Finding[] {
  if (files === null) return [];
  const finding = (verdict: "warning" | "bad", says: string, remedy: string): readonly Finding[] => [
    { what: "certificate", place: files.certificate, verdict, says, remedy },
  ];
  let first: X509Certificate;
  try {
    first = new X509Certificate(readCertificate(files).cert);
  } catch (error) {
    if (!(error instanceof CertificateTrouble)) throw error;
    const remedy = `Correct listen.${error.file}: the daemon does not start like this. The user emberwire has to be able to read both.`;
    return finding("bad", `expected ${error.expected}, got ${error.message}`, remedy);
  }
  const until = new Date(first.validTo).toISOString().slice(0, 10);
  if (clock.wallIsTrusted()) {
    const left = (Date.parse(first.validTo) / 1000 - clock.wallSeconds()) / DAY_SECONDS;
    const renew = "Put a new one in its place; the running daemon takes it up by itself.";
    if (left < 0) return finding("bad", `it ran out on ${until}, so browsers refuse the page`, renew);
    if (left < SOON_DAYS) return finding("warning", `it runs out on ${until}`, renew);
    if (Date.parse(first.validFrom) / 1000 > clock.wallSeconds())
      return finding(
        "bad",
        `it holds from ${first.validFrom} only`,
        "Set the clock of this machine or of the one that made it.",
      );
  }
  const stranger = names.find((name) => first.checkHost(name) === undefined);
  if (stranger !== undefined) {
    const has = first.subjectAltName ?? "no name";
    return finding(
      "warning",
      `it is not for ${stranger} (it has ${has})`,
      "Have one made for every name in listen.names.",
    );
  }
  return [wellDone("certificate", files.certificate, `fits its key, good until ${until}`)];
}
