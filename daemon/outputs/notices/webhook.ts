// Notices to a web address: one JSON letter by POST, signed so that the far side can tell it from a stranger's.
// It follows no redirect and sends nothing but the letter.

import { createHmac } from "node:crypto";
import type { Channel, Letter } from "./notice.ts";

export type WebhookSettings = {
  readonly url: string;
  /** Shared secret of the HMAC-SHA-256 (RFC 2104) in the `Emberwire-Signature` header. */
  readonly secret: string;
};

/** The signature of a body: `sha256=` and the HMAC in hexadecimal. */
export function signBody(secret: string, body: string): string {
  return `sha256=${createHmac("sha256", secret).update(body).digest("hex")}`;
}

/** A channel that posts letters. Rejects on any answer but 2xx. */
export function webhookChannel(settings: WebhookSettings): Channel {
  return {
    name: "webhook",
    async deliver(letter: Letter, signal: AbortSignal): Promise<void> {
      const body = JSON.stringify(letter);
      const answer = await fetch(settings.url, {
        method: "POST",
        headers: { "Content-Type": "application/json", "Emberwire-Signature": signBody(settings.secret, body) },
        body,
        redirect: "error",
        signal,
      });
      await answer.body?.cancel();
      if (!answer.ok) throw new Error(`the webhook answered ${answer.status}`);
    },
  };
}
