// Where the daemon listens and what it keeps. Shapes and defaults only.

import * as z from "zod";
import { network, quantity, text, whole } from "./fields.ts";

export const listen = z
  .strictObject({
    host: text(100).default("127.0.0.1"),
    port: whole(0, 65_535).default(8373),
    /** Further names under which this machine is reached, e.g. feedpoint.local. */
    names: z.array(text(100)).max(16, { error: "at most 16 names" }).default([]),
    clients: whole(1, 1000).default(64),
    /** PEM files of the page's own certificate, with those that lead to its root, and of its key; both or none. */
    certificate: text(200).optional(),
    key: text(200).optional(),
    /** Addresses of reverse proxies whose X-Forwarded-For, -Proto and -Host are believed, e.g. "127.0.0.1" or "10.0.0.0/24". */
    trusted_proxies: z.array(network).max(16, { error: "at most 16 addresses" }).default([]),
  })
  .prefault({});

export const log = z
  .strictObject({
    /** Without it /var/lib/emberwire where that may be written, else .emberwire in the working folder. */
    folder: text(200).optional(),
    keep: quantity("duration", { low: 86_400, high: 3650 * 86_400 }).prefault("14d"),
    /** Largest size of the one-second rows. */
    most_megabytes: whole(16, 1_000_000).default(1000),
  })
  .prefault({});
