// The MQTT broker: where a feedpoint tells what it knows, and where the overview of many listens. Shapes and defaults only.
// The password stands in a file of its own, so that the config may be shown to anybody.

import * as z from "zod";
import { flag, quantity, text, whole } from "./fields.ts";
import { listen } from "./outputs.ts";

const ADDRESS = "an address such as mqtts://broker.example.org or mqtt://127.0.0.1:1883";
const address = z
  .string({ error: ADDRESS })
  .max(300, { error: ADDRESS })
  .regex(/^mqtts?:\/\/(\[[0-9a-fA-F:.]+\]|[^\s/:@?#[\]]+)(:\d{1,5})?\/?$/, { error: ADDRESS })
  .describe(ADDRESS);

/** No wildcard, no empty level (MQTT 5, section 4.7). */
const level = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/, { error: "1 to 64 letters, digits, or . _ -" });
const PREFIX = "levels of letters, digits, or . _ - with / between them";
const prefix = z
  .string({ error: PREFIX })
  .max(120, { error: PREFIX })
  .regex(/^[A-Za-z0-9][A-Za-z0-9._-]*(\/[A-Za-z0-9][A-Za-z0-9._-]*)*$/, { error: PREFIX })
  .default("emberwire");

const page = z
  .string()
  .max(300)
  .refine((value) => /^https?:\/\//.test(value) && URL.canParse(value), {
    error: "an address that begins with https:// or http://",
  });

const line = {
  broker: address,
  user: text(200).optional(),
  password_file: text(400).optional(),
  /** PEM certificates of the authorities to believe, instead of the public ones. */
  ca_file: text(400).optional(),
  /** Without TLS, also to another machine: everybody on the way may read and forge. */
  unencrypted: flag.default(false),
  prefix,
};

export const mqtt = z.strictObject(
  {
    ...line,
    /** This feedpoint's level in the topic tree; made from its name where it is left out. */
    id: level.optional(),
    /** Where others reach this feedpoint's page. */
    page: page.optional(),
    every: quantity("duration", { low: 1, high: 3600 }).prefault("1s"),
    /** A broker forgets a state that is older. */
    expiry: quantity("duration", { low: 5, high: 86_400 }).prefault("30s"),
  },
  { error: "a table [mqtt] with broker" },
);

export const overview = z.strictObject(
  {
    ...line,
    /** More are counted, and said on the page. */
    feedpoints: whole(1, 5_000).default(1_000),
    listen: listen
      .unwrap()
      .extend({ port: whole(0, 65_535).default(8374) })
      .prefault({}),
  },
  { error: "a table [overview] with broker" },
);
