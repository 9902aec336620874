// Every feedpoint that was heard at the broker, one row each, bounded; what changed since it was last asked. Whatever a stranger
// publishes is looked at before it becomes a row. It knows neither sockets nor the broker's line.

import { diffKeys } from "../../wire/delta.ts";
import { GLANCE_KEYS, type Glance, type OverviewRow, type Presence, type RowChange } from "../../wire/overview.ts";
import type { Arrival } from "../mqtt/broker-link.ts";
import { availabilitySchema, feedpointSchema } from "../mqtt/topics.ts";
import { frameSchema } from "../wire-schema.ts";

const glanceSchema = frameSchema.pick(
  Object.fromEntries(GLANCE_KEYS.map((key) => [key, true])) as { readonly [key in (typeof GLANCE_KEYS)[number]]: true },
);

/** Quantities that a row needs. */
const SHOWN = ["core_celsius", "core_upper_celsius", "sustainable_watts", "drive_watts"] as const;
/** Feedpoints without a place that are told apart; beyond, they are "at least so many". */
const MOST_COUNTED = 10_000;

type Heard = {
  row: OverviewRow;
  /** As last told. */
  told: OverviewRow | null;
  /** When the state arrived and how much was left of its life; null without one. */
  arrived: { readonly atSeconds: number; readonly left: number | null } | null;
  expirySeconds: number | null;
};

export class OverviewTable {
  readonly #prefix: string;
  readonly #most: number;
  readonly #heard = new Map<string, Heard>();
  readonly #without = new Set<string>();
  readonly #dirty = new Set<string>();
  #gone: string[] = [];

  /** @throws RangeError when there is room for nobody */
  constructor(prefix: string, most: number) {
    if (!Number.isSafeInteger(most) || most < 1) throw new RangeError("overview: most must be a whole number above 0");
    this.#prefix = prefix;
    this.#most = most;
  }

  /** Topics to listen to. */
  get filters(): readonly string[] {
    return ["availability", "about", "state"].map((name) => `${this.#prefix}/+/${name}`);
  }

  get hidden(): number {
    return this.#without.size;
  }

  get rows(): readonly OverviewRow[] {
    return [...this.#heard.values()].map(({ row }) => row);
  }

  take({ topic, payload, expirySeconds: left }: Arrival, nowSeconds: number): void {
    const [id, name] = topic.slice(this.#prefix.length + 1).split("/", 2);
    if (id === undefined || id === "" || id.length > 64 || name === undefined) return;
    // An empty retained message is how a broker's operator takes a feedpoint out (MQTT 5, section 3.3.1.3).
    if (payload.length === 0) {
      if (name === "about") this.#forget(id);
      return;
    }
    const heard = this.#place(id);
    if (heard === null) return;
    const change = readMessage(name, payload);
    if (change === null) return;
    if ("unreadable" in change) heard.row = { ...heard.row, unreadable: change.unreadable };
    else {
      const { expirySeconds, ...columns } = change;
      if (columns.glance !== undefined) heard.arrived = { atSeconds: nowSeconds, left };
      if (expirySeconds !== undefined) heard.expirySeconds = expirySeconds;
      heard.row = { ...heard.row, ...columns, unreadable: null, made_seconds: madeSeconds(heard) };
    }
    this.#dirty.add(id);
  }

  /** What changed since the last time, and who is gone. */
  changes(): { readonly rows: readonly RowChange[]; readonly gone: readonly string[] } {
    const rows: RowChange[] = [];
    for (const id of this.#dirty) {
      const heard = this.#heard.get(id);
      if (heard === undefined) continue;
      rows.push(heard.told === null ? heard.row : rowChange(heard.told, heard.row));
      heard.told = heard.row;
    }
    const gone = this.#gone;
    this.#gone = [];
    this.#dirty.clear();
    return { rows, gone };
  }

  #place(id: string): Heard | null {
    const known = this.#heard.get(id);
    if (known !== undefined) return known;
    if (this.#heard.size >= this.#most) {
      if (this.#without.size < MOST_COUNTED) this.#without.add(id);
      return null;
    }
    const heard: Heard = { row: { ...NOBODY, id }, told: null, arrived: null, expirySeconds: null };
    this.#heard.set(id, heard);
    return heard;
  }

  #forget(id: string): void {
    this.#without.delete(id);
    if (this.#heard.delete(id)) this.#gone.push(id);
  }
}

const NOBODY: Omit<OverviewRow, "id"> = {
  name: null,
  simulated: false,
  page: null,
  limit_celsius: null,
  every_seconds: 1,
  presence: "unknown",
  made_seconds: null,
  unreadable: null,
  glance: null,
};

/** A broker says how much is left of a message's life (MQTT 5, section 3.3.2.3.3), so its age needs no clock of the feedpoint. */
function madeSeconds({ arrived, expirySeconds }: Heard): number | null {
  if (arrived === null) return null;
  const waited = arrived.left === null || expirySeconds === null ? 0 : Math.max(0, expirySeconds - arrived.left);
  return arrived.atSeconds - waited;
}

type Columns = Partial<Omit<OverviewRow, "id">> & { readonly expirySeconds?: number };

/** Null for a topic that is none of ours. */
function readMessage(name: string, payload: Buffer): Columns | { readonly unreadable: string } | null {
  let value: unknown;
  try {
    value = JSON.parse(payload.toString("utf8"));
  } catch {
    return { unreadable: `${name} is no JSON` };
  }
  if (name === "availability") {
    const parsed = availabilitySchema.safeParse(value);
    return parsed.success ? { presence: parsed.data.state satisfies Presence } : refusal(name, parsed.error);
  }
  if (name === "about") {
    const parsed = feedpointSchema.safeParse(value);
    if (!parsed.success) return refusal(name, parsed.error);
    const { about, page, every_seconds, expiry_seconds } = parsed.data;
    const safe = page !== null && /^https?:\/\//.test(page) && URL.canParse(page) ? page : null;
    const { name: called, simulated, limit_celsius } = about;
    return {
      name: called.slice(0, 60),
      simulated,
      limit_celsius,
      page: safe,
      every_seconds,
      expirySeconds: expiry_seconds,
    };
  }
  if (name === "state") {
    const parsed = glanceSchema.safeParse(value);
    return parsed.success ? { glance: glanceOf(parsed.data) } : refusal(name, parsed.error);
  }
  return null;
}

function refusal(name: string, error: { readonly issues: readonly { readonly path: readonly PropertyKey[] }[] }) {
  return { unreadable: `${name}: ${error.issues[0]?.path.map(String).join(".") || "shape"}`.slice(0, 80) };
}

/** Rounded to what a row shows, so that a still number is no change. */
function glanceOf(frame: Glance): Glance {
  const quantities = Object.fromEntries(
    SHOWN.flatMap((name) => {
      const quantity = frame.quantities[name];
      if (quantity === undefined) return [];
      return [[name, { ...quantity, value: quantity.value === null ? null : Math.round(quantity.value) }]];
    }),
  );
  return { ...frame, quantities };
}

function rowChange(before: OverviewRow, after: OverviewRow): RowChange {
  const { glance, ...rest } = diffKeys(before, after);
  if (glance === undefined) return { id: after.id, ...rest };
  const part = before.glance === null || glance === null ? glance : diffKeys(before.glance, glance);
  return { id: after.id, ...rest, glance: part };
}
