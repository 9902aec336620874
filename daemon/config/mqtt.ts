// Config → the line to an MQTT broker, with certificates and password read from their files. It connects nowhere.

import { join } from "node:path";
import type * as z from "zod";
import { isLoopbackName } from "../outputs/guard.ts";
import type { BrokerSettings } from "../outputs/mqtt/broker-link.ts";
import type { OutletSettings } from "../outputs/mqtt/outlet.ts";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";
import type { mqtt } from "./schema/broker.ts";
import { readSecret } from "./secret.ts";
import { readTextFile } from "./text-file.ts";

/** Ports of IANA for MQTT, without and with TLS. */
const PORTS = { "mqtt:": 1883, "mqtts:": 8883 } as const;
const LARGEST_CERTIFICATES_BYTES = 256 * 1024;

type BrokerTable = Pick<z.output<typeof mqtt>, "broker" | "user" | "password_file" | "ca_file" | "unencrypted">;

/**
 * The line that a table describes.
 * @throws RequestError with what does not go together, or a file that cannot be read
 */
export function brokerOf(
  placeOf: ReadConfig["placeOf"],
  table: "mqtt" | "overview",
  given: BrokerTable,
  clientId: string,
): BrokerSettings {
  const key = (name: string) => ({ what: `${table}.${name}`, where: placeOf([table, name]) });
  const { protocol, hostname, port } = new URL(given.broker);
  const tls = protocol === "mqtts:";
  const host = hostname.replace(/^\[|\]$/g, "");
  if (!tls && !given.unencrypted && !isLoopbackName(host)) {
    const expected =
      "mqtts:// for another machine, or unencrypted = true where everybody on the way may read and forge";
    throw new RequestError([{ ...key("broker"), expected, got: `"${given.broker}"` }]);
  }
  if (given.ca_file !== undefined && !tls) {
    throw new RequestError([{ ...key("ca_file"), expected: "mqtts:// beside it", got: `"${given.broker}"` }]);
  }
  if ((given.user === undefined) !== (given.password_file === undefined)) {
    const expected = "user and password_file together";
    throw new RequestError([{ what: table, where: placeOf([table]), expected, got: "only one of them" }]);
  }
  return {
    host,
    port: port === "" ? PORTS[protocol as keyof typeof PORTS] : Number(port),
    tls,
    ca: given.ca_file === undefined ? null : certificates(given.ca_file, key("ca_file")),
    user: given.user ?? null,
    password: given.password_file === undefined ? null : readSecret(given.password_file, key("password_file")),
    clientId,
  };
}

/** Null where no broker is to be told. @throws RequestError as `brokerOf` */
export function outletOf({ config, placeOf }: ReadConfig, folder: string, simulated: boolean): OutletSettings | null {
  const { mqtt: given, feedpoint } = config;
  if (given === undefined) return null;
  const id = given.id ?? levelOf(feedpoint.name);
  return {
    broker: brokerOf(placeOf, "mqtt", given, `emberwire-${id}`),
    prefix: given.prefix,
    id,
    page: given.page ?? null,
    everySeconds: given.every,
    expirySeconds: Math.round(given.expiry),
    bookmarkFile: join(folder, simulated ? "simulated-mqtt.json" : "mqtt.json"),
  };
}

/** `Orchard gate` → `orchard-gate`. */
function levelOf(name: string): string {
  const plain = name.normalize("NFKD").replaceAll(/\p{M}/gu, "").toLowerCase();
  const level = plain
    .replaceAll(/[^a-z0-9]+/g, "-")
    .replaceAll(/^-|-$/g, "")
    .slice(0, 64);
  return level === "" ? "feedpoint" : level;
}

function certificates(file: string, asking: { readonly what: string; readonly where: string }): string {
  const expected = "a file with certificates in PEM (-----BEGIN CERTIFICATE-----)";
  const text = readTextFile(file, { ...asking, expected, mostBytes: LARGEST_CERTIFICATES_BYTES });
  if (text.includes("-----BEGIN CERTIFICATE-----")) return text;
  throw new RequestError([{ ...asking, expected, got: `${file}, which holds none` }]);
}
