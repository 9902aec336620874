// Puts rows where they belong: stretches as they are committed, hours when they are over, with their rollups and digest.
// Every call runs inside the caller's transaction; it decides neither when nor how long anything is kept.

import { deflateRawSync } from "node:zlib";
import type { Database, Statement } from "better-sqlite3";
import { type ColumnSpec, packBlock } from "./block.ts";
import { SERIES } from "./columns.ts";
import { type GatheredRows, gather } from "./gather.ts";
import { MINUTES_AN_HOUR, minuteSpecs, packMinutes } from "./minutes.ts";
import { blocksOfHour, type Piece, recentPieces, untrustedBlocks } from "./pieces.ts";
import { QuarterTable } from "./quarters.ts";
import { addToRollup, coarser, emptyRollup, type Rollup } from "./rollup.ts";
import { LAYOUT, layoutId } from "./schema.ts";
import {
  HOUR_SECONDS,
  hourOf,
  joinSegments,
  joins,
  type Place,
  type Segment,
  splitByHour,
  startOf,
} from "./segment.ts";

/** The band a frequency lies in; null between bands. */
export type BandOf = (frequencyHertz: number) => string | null;

const MINUTES_A_QUARTER = 15;

const PLACE = "run, layout, first_number, last_number, rows, first_monotonic_seconds, offset_seconds, trusted, body";

export class Filing {
  readonly #database: Database;
  readonly #bandOf: BandOf;
  readonly #quarters: QuarterTable;
  readonly #insertRecent: Statement<unknown[]>;
  readonly #insertBlock: Statement<unknown[]>;
  readonly #deleteRecent: Statement<[number]>;
  readonly #keepCheckpoint: Statement<[]>;
  readonly #insertHour: Statement<unknown[]>;
  readonly #layout: number;
  readonly #minutesLayout: number;

  constructor(database: Database, bandOf: BandOf) {
    this.#database = database;
    this.#bandOf = bandOf;
    this.#quarters = new QuarterTable(database);
    this.#layout = layoutId(database, LAYOUT);
    this.#minutesLayout = layoutId(database, minuteSpecs(LAYOUT));
    this.#insertRecent = database.prepare(
      `INSERT INTO recent (${PLACE}, checkpoint) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
    );
    this.#insertBlock = database.prepare(`INSERT INTO block (hour, ${PLACE}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`);
    this.#deleteRecent = database.prepare("DELETE FROM recent WHERE id = ?");
    this.#keepCheckpoint = database.prepare(
      `INSERT OR REPLACE INTO checkpoint (id, body)
       SELECT 1, checkpoint FROM recent WHERE checkpoint IS NOT NULL ORDER BY id DESC LIMIT 1`,
    );
    this.#insertHour = database.prepare(
      "INSERT OR REPLACE INTO hour (hour, minutes, minutes_layout, digest) VALUES (?, ?, ?, ?)",
    );
  }

  /** A stretch as it came. */
  addRecent(run: number, segment: Segment, checkpoint: Buffer | null): void {
    this.#insertRecent.run(
      ...fieldsOf(run, this.#layout, segment.place),
      packBlock(LAYOUT, segment.columns),
      checkpoint,
    );
  }

  /** A stretch that lies within one hour, straight into the hour; its rollups come with `rebuild`. */
  addBlock(run: number, segment: Segment): void {
    this.#insert(hourOf(startOf(segment.place)), run, LAYOUT, segment);
  }

  /** Packs one hour that is over; true when there may be more. */
  packOne(): boolean {
    const loose = recentPieces(this.#database);
    const newest = loose.at(-1);
    if (newest === undefined) return false;
    const current = hourOf(startOf(newest.place));
    const first = loose.find(({ place }) => hourOf(startOf(place)) !== current);
    if (first === undefined) return false;
    const hour = hourOf(startOf(first.place));
    const pieces = loose.filter(({ place }) => hourOf(startOf(place)) === hour);
    this.#keepCheckpoint.run();
    for (const group of groupsOf(pieces)) this.#addGroup(hour, group);
    for (const { id } of pieces) this.#deleteRecent.run(id);
    this.rebuild(hour);
    return true;
  }

  /** Rollups and digest of an hour, made anew from its packed seconds. Without seconds what is there stays. */
  rebuild(hour: number): void {
    const pieces = blocksOfHour(this.#database, hour);
    if (pieces.length === 0) return;
    const minutes = new Map<string, Rollup>();
    const stretches: GatheredRows[] = [];
    for (const piece of pieces) {
      const block = piece.open();
      const seconds = block.seconds();
      const start = startOf(piece.place);
      const shift = start - hour * HOUR_SECONDS;
      for (const { name, step } of piece.specs) {
        const values = step === null ? null : block.numbers(name);
        if (values === null) continue;
        const rollup = minutes.get(name) ?? emptyRollup(MINUTES_AN_HOUR);
        minutes.set(name, rollup);
        addToRollup(rollup, values, (row) => Math.min(Math.floor((seconds[row]! + shift) / 60), MINUTES_AN_HOUR - 1));
      }
      stretches.push({
        dates: Float64Array.from(seconds, (second) => start + second),
        numbers: (name) => block.numbers(name),
        texts: (name) => block.texts(name),
      });
    }
    const digest = gather(stretches, this.#bandOf);
    const packed = packMinutes(LAYOUT, minutes);
    this.#insertHour.run(hour, packed, this.#minutesLayout, deflateRawSync(JSON.stringify(digest)));
    for (const [name, rollup] of minutes) {
      if (rollup.count.some((count) => count > 0)) {
        this.#quarters.writeHour(name, hour, coarser(rollup, MINUTES_A_QUARTER));
      }
    }
  }

  /** An hour of which only rollups are known: the demo season. */
  addHour(hour: number, digest: unknown): void {
    this.#insertHour.run(hour, null, null, deflateRawSync(JSON.stringify(digest)));
  }

  get quarters(): QuarterTable {
    return this.#quarters;
  }

  /**
   * Gives everything of a boot that was dated by a clock nobody vouched for its true date; returns the stretches moved.
   * `offsetSeconds` is wall minus monotonic time of that boot, from a clock that is trusted.
   */
  redate(bootId: string, offsetSeconds: number): number {
    const ofBoot = "run IN (SELECT id FROM run WHERE boot_id = ?)";
    const blocks = untrustedBlocks(this.#database, bootId);
    const hours = new Set(blocks.map(({ place }) => hourOf(startOf(place))));
    for (const piece of blocks) {
      const { place, columns } = segmentIn(piece);
      const moved = { place: { ...place, offsetSeconds, trusted: true }, columns };
      this.#database.prepare("DELETE FROM block WHERE id = ?").run(piece.id);
      for (const segment of splitByHour(piece.specs, moved)) {
        const hour = hourOf(startOf(segment.place));
        hours.add(hour);
        this.#insert(hour, piece.run, piece.specs, segment);
      }
    }
    for (const hour of hours) {
      this.#clear(hour);
      this.rebuild(hour);
    }
    const { changes } = this.#database
      .prepare(`UPDATE recent SET offset_seconds = ?, trusted = 1 WHERE trusted = 0 AND ${ofBoot}`)
      .run(offsetSeconds, bootId);
    this.#database
      .prepare(`UPDATE entry SET wall_seconds = at_seconds + ?, wall_trusted = 1 WHERE wall_trusted = 0 AND ${ofBoot}`)
      .run(offsetSeconds, bootId);
    return blocks.length + changes;
  }

  #clear(hour: number): void {
    this.#database.prepare("DELETE FROM hour WHERE hour = ?").run(hour);
    for (const name of SERIES) this.#quarters.writeHour(name, hour, emptyRollup(60 / MINUTES_A_QUARTER));
  }

  #addGroup(hour: number, group: readonly Piece[]): void {
    const { specs, run } = group[0]!;
    this.#insert(hour, run, specs, joinSegments(specs, group.map(segmentIn)));
  }

  #insert(hour: number, run: number, specs: readonly ColumnSpec[], { place, columns }: Segment): void {
    this.#insertBlock.run(hour, ...fieldsOf(run, layoutId(this.#database, specs), place), packBlock(specs, columns));
  }
}

function fieldsOf(run: number, layout: number, place: Place): unknown[] {
  const { firstNumber, lastNumber, rows, firstMonotonicSeconds, offsetSeconds, trusted } = place;
  return [run, layout, firstNumber, lastNumber, rows, firstMonotonicSeconds, offsetSeconds, Number(trusted)];
}

/** Neighbours that can stand in one block. */
function groupsOf(pieces: readonly Piece[]): Piece[][] {
  const groups: Piece[][] = [];
  for (const piece of pieces) {
    const group = groups.at(-1);
    const before = group?.at(-1);
    const fits =
      group !== undefined &&
      before !== undefined &&
      before.run === piece.run &&
      sameColumns(before.specs, piece.specs) &&
      joins(group[0]!.place, before.place, piece.place);
    if (fits) group.push(piece);
    else groups.push([piece]);
  }
  return groups;
}

const sameColumns = (one: readonly ColumnSpec[], other: readonly ColumnSpec[]): boolean =>
  one === other || JSON.stringify(one) === JSON.stringify(other);

/** All columns of a piece, unpacked. */
function segmentIn(piece: Piece): Segment {
  const block = piece.open();
  const numbers: Record<string, ArrayLike<number>> = {};
  const texts: Record<string, NonNullable<ReturnType<typeof block.texts>>> = {};
  for (const { name, step } of piece.specs) {
    if (step === null) texts[name] = block.texts(name) ?? [];
    else numbers[name] = block.numbers(name) ?? [];
  }
  return { place: piece.place, columns: { seconds: block.seconds(), numbers, texts } };
}
