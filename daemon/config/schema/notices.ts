// Who is told of alarms when nobody looks at the page: by e-mail, by a webhook, how soon again and how often. Shapes and defaults
// only. Secrets stand in files of their own, so that the config may be shown to anybody.

import * as z from "zod";
import { flag, oneOf, quantity, text, whole } from "./fields.ts";

const mailbox = z
  .string()
  .regex(/^[^\s@<>,;]{1,64}@[^\s@<>,;]{1,190}$/u, { error: "an address such as me@example.org" });

const email = z.strictObject({
  host: text(200),
  port: whole(1, 65_535).default(587),
  /** TLS from the first byte, as on port 465; otherwise the connection is encrypted once it stands. */
  tls: flag.default(false),
  /** Sends also to a server that offers no encryption, as one in one's own house may. */
  unencrypted: flag.default(false),
  user: text(200).optional(),
  password_file: text(200).optional(),
  from: mailbox,
  to: z.array(mailbox).min(1, { error: "at least one address" }).max(16, { error: "at most 16 addresses" }),
});

const webAddress = z
  .string()
  .max(500)
  .refine((value) => /^https?:\/\//.test(value) && URL.canParse(value), {
    error: "an address that begins with https:// or http://",
  });

const webhook = z.strictObject({ url: webAddress, secret_file: text(200) });

export const notices = z.strictObject({
  /** The lowest priority that is told. */
  lowest: oneOf("high", "medium", "low").default("medium"),
  /** High priority is told again after this, until somebody acknowledges it. */
  repeat: quantity("duration", { low: 1, high: 86_400 }).prefault("5min"),
  /** More are merged into fewer letters. */
  letters_per_hour: whole(1, 120).default(12),
  email: email.optional(),
  webhook: webhook.optional(),
});
