// Notices by e-mail over SMTP. nodemailer is loaded at the first letter, so a feedpoint without e-mail never pays for it.

import type { Channel, Letter } from "./notice.ts";
import { subjectOf, textOf } from "./notice.ts";

export type EmailSettings = {
  readonly host: string;
  readonly port: number;
  /** True: TLS from the first byte (port 465). False: STARTTLS when the server offers it. */
  readonly secure: boolean;
  /** True refuses to send when the server offers no encryption. */
  readonly requireTls: boolean;
  readonly user: string | null;
  readonly password: string | null;
  readonly from: string;
  readonly to: readonly string[];
};

/** Longest wait for any single answer of the mail server. */
const SOCKET_TIMEOUT_MILLISECONDS = 20_000;

/** A channel that mails letters. Rejects with the server's own words. */
export function emailChannel(settings: EmailSettings): Channel {
  return {
    // Who is told is nobody's business who only sees the page.
    name: `e-mail (${settings.to.length} ${settings.to.length === 1 ? "address" : "addresses"})`,
    async deliver(letter: Letter, signal: AbortSignal): Promise<void> {
      const { createTransport } = await import("nodemailer");
      const transport = createTransport({
        host: settings.host,
        port: settings.port,
        secure: settings.secure,
        requireTLS: settings.requireTls,
        ...(settings.user === null ? {} : { auth: { user: settings.user, pass: settings.password ?? "" } }),
        connectionTimeout: SOCKET_TIMEOUT_MILLISECONDS,
        greetingTimeout: SOCKET_TIMEOUT_MILLISECONDS,
        socketTimeout: SOCKET_TIMEOUT_MILLISECONDS,
      });
      const abort = (): void => transport.close();
      signal.addEventListener("abort", abort, { once: true });
      try {
        await transport.sendMail({
          from: settings.from,
          to: [...settings.to],
          subject: subjectOf(letter),
          text: textOf(letter),
          priority: letter.notices[0]?.priority === "high" ? "high" : "normal",
        });
      } finally {
        signal.removeEventListener("abort", abort);
        transport.close();
      }
    },
  };
}
