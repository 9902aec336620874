// What the overview's page knows, and the pure steps that move it on; and which row stands before which. It never touches socket,
// clock or document.

import { changedRow, type OverviewMessage, type OverviewRow } from "../../daemon/wire/overview.ts";
import type { Figures } from "../figures.ts";
import { type Sentence, sentence, type Tone } from "../sentence.ts";
import { isWaiting } from "../sound.ts";
import { overviewWords as words } from "../strings/overview.ts";

export type OverviewModel = {
  readonly rows: ReadonlyMap<string, OverviewRow>;
  readonly sequence: number | null;
  readonly gap: boolean;
  readonly version: string | null;
  readonly most: number;
  readonly hidden: number;
  readonly brokerTrouble: string | null;
  /** When the last message came, on the page's clock, s; null before the first. */
  readonly heardSeconds: number | null;
  /** The page's clock minus the server's, by the message that was under way for the shortest time, s. */
  readonly offsetSeconds: number;
};

export const EMPTY_OVERVIEW: OverviewModel = {
  rows: new Map(),
  sequence: null,
  gap: false,
  version: null,
  most: 0,
  hidden: 0,
  brokerTrouble: null,
  heardSeconds: null,
  offsetSeconds: Number.POSITIVE_INFINITY,
};

/** The model after a message; a missed one sets `gap`, and the rows stay until a snapshot. */
export function reduceOverview(model: OverviewModel, message: OverviewMessage, atSeconds: number): OverviewModel {
  const head = {
    hidden: message.hidden,
    brokerTrouble: message.broker_trouble,
    heardSeconds: atSeconds,
    sequence: message.sequence,
  };
  const offset = atSeconds - message.now_seconds;
  if (message.type === "snapshot") {
    const { version, most } = message;
    const rows = new Map(message.rows.map((row) => [row.id, row]));
    return { ...head, rows, version, most, gap: false, offsetSeconds: offset };
  }
  if (model.sequence === null || message.sequence !== model.sequence + 1)
    return { ...model, sequence: null, gap: true };
  const rows = new Map(model.rows);
  for (const id of message.gone) rows.delete(id);
  for (const change of message.rows) {
    // A row that is new comes whole.
    const row = changedRow(rows.get(change.id), change) ?? (change as OverviewRow);
    rows.set(change.id, row);
  }
  return { ...model, ...head, rows, offsetSeconds: Math.min(model.offsetSeconds, offset) };
}

/** Age of a row's state, s; null without one. */
export function rowAge({ made_seconds: made }: OverviewRow, model: OverviewModel, nowSeconds: number): number | null {
  return made === null ? null : Math.max(0, nowSeconds - model.offsetSeconds - made);
}

export type Told = {
  readonly row: OverviewRow;
  readonly name: string;
  readonly sentence: Sentence;
  readonly ageSeconds: number | null;
  readonly waiting: number;
};

const RANK: { readonly [tone in Tone]: number } = { act: 0, blind: 1, watch: 2, calm: 3 };

/** One sentence for one row: what its own page would say, unless it is away or cannot be read. */
export function tell(row: OverviewRow, model: OverviewModel, nowSeconds: number, figures: Figures): Told {
  const age = rowAge(row, model, nowSeconds);
  const name = row.name ?? row.id;
  const waiting = row.glance?.alarms.filter(isWaiting).length ?? 0;
  const told = (what: Sentence): Told => ({ row, name, sentence: what, ageSeconds: age, waiting });
  if (row.unreadable !== null) return told({ text: words.unreadable(row.unreadable), tone: "blind" });
  if (row.presence === "stopped" || row.presence === "lost" || (row.presence === "unknown" && row.glance === null)) {
    return told({ text: words.presence[row.presence], tone: "blind" });
  }
  // One that speaks once a minute is not silent after ten seconds.
  const late = age === null ? null : Math.max(0, age - (row.every_seconds - 1));
  const about = { name };
  return told(sentence({ frame: row.glance, about, ageSeconds: late, heaviestDriveWatts: null, figures }));
}

/** Worst first; among equals by name, so that a row moves only when its state does. */
export function worstFirst(left: Told, right: Told): number {
  return (
    RANK[left.sentence.tone] - RANK[right.sentence.tone] ||
    Math.sign(right.waiting) - Math.sign(left.waiting) ||
    left.name.localeCompare(right.name, undefined, { numeric: true }) ||
    (left.row.id < right.row.id ? -1 : 1)
  );
}

/** Rows that fit the reader's words and kind. */
export function fits({ name, row, sentence: { text, tone } }: Told, asked: string, kind: Tone | "all"): boolean {
  if (kind !== "all" && kind !== tone) return false;
  const wanted = asked.trim().toLowerCase();
  return wanted === "" || `${name} ${row.id} ${text}`.toLowerCase().includes(wanted);
}
