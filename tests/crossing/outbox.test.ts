// What waits for the service thread is bounded, the newest wins for the stream, and nothing of the record is lost.

import { describe, expect, it } from "vitest";
import type { LogProgress } from "../../daemon/crossing/messages.ts";
import { Outbox, type OutboxBounds } from "../../daemon/crossing/outbox.ts";
import { plainBeat, plainEntry } from "../support/beat.ts";

const BOUNDS: OutboxBounds = { rows: 10, entries: 5, answers: 3, rowsPerParcel: 4, entriesPerParcel: 2 };

const progress = (row: number, entry: number, more: Partial<LogProgress> = {}): LogProgress => ({
  acceptedRow: row,
  acceptedEntry: entry,
  persistedRow: row,
  persistedEntry: entry,
  writable: true,
  trouble: null,
  diskFreeRatio: null,
  ...more,
});

const numbers = (items: readonly { readonly number: number }[] | undefined) => items?.map(({ number }) => number);

function filled(beats: number, entries = 0): Outbox {
  const outbox = new Outbox(BOUNDS);
  for (let number = 1; number <= beats; number += 1) outbox.publish(plainBeat(number));
  for (let number = 1; number <= entries; number += 1) outbox.enter(plainEntry(number));
  return outbox;
}

describe("a checkpoint", () => {
  const trip = (): Outbox => {
    const outbox = filled(1, 1);
    outbox.checkpoint('{"tripped":true}');
    expect(outbox.next()?.checkpoint).toBe('{"tripped":true}');
    return outbox;
  };

  it("that a disk refused goes with the entries once it takes them", () => {
    const outbox = trip();
    outbox.receipt(1, progress(0, 0, { writable: false }));
    outbox.publish(plainBeat(2));
    expect(outbox.next()).toMatchObject({ entries: [], checkpoint: null });
    outbox.receipt(2, progress(0, 0));
    const again = outbox.next();
    expect(numbers(again?.entries)).toEqual([1]);
    expect(again?.checkpoint).toBe('{"tripped":true}');
  });

  it("that was with a thread when it died is with the next one, unless there is a newer one", () => {
    const outbox = trip();
    outbox.orphaned();
    outbox.restarted(progress(0, 0));
    expect(outbox.next()?.checkpoint).toBe('{"tripped":true}');
    outbox.orphaned();
    outbox.checkpoint('{"newer":true}');
    outbox.restarted(progress(0, 0));
    expect(outbox.next()?.checkpoint).toBe('{"newer":true}');
  });

  it("that was taken is not sent twice", () => {
    const outbox = trip();
    outbox.receipt(1, progress(1, 1));
    outbox.publish(plainBeat(2));
    expect(outbox.next()?.checkpoint).toBeNull();
  });
});

describe("credit", () => {
  it("one parcel is under way at a time", () => {
    const outbox = filled(1);
    expect(outbox.next()?.number).toBe(1);
    outbox.publish(plainBeat(2));
    expect(outbox.next()).toBeNull();
    outbox.receipt(1, progress(1, 0));
    expect(outbox.next()?.newest?.number).toBe(2);
  });

  it("a receipt for another parcel gives none", () => {
    const outbox = filled(1);
    outbox.next();
    outbox.receipt(7, progress(1, 0));
    outbox.publish(plainBeat(2));
    expect(outbox.next()).toBeNull();
  });

  it("nothing is sent while the service thread is gone", () => {
    const outbox = filled(1);
    outbox.orphaned();
    expect(outbox.next()).toBeNull();
    outbox.restarted(progress(0, 0));
    expect(numbers(outbox.next()?.rows)).toEqual([1]);
  });

  it("an answer goes out by itself: while cycles fail nothing else may come", () => {
    const outbox = new Outbox(BOUNDS);
    outbox.answer({ id: "a", accepted: false, text: "the cycle failed" });
    expect(outbox.next()?.answers).toMatchObject([{ id: "a" }]);
  });

  it("no parcel is made of nothing", () => {
    const outbox = filled(1);
    outbox.next();
    outbox.receipt(1, progress(1, 0));
    expect(outbox.next()).toBeNull();
  });
});

describe("a blocked service thread", () => {
  it("finds the newest beat, and of the rows the latest that fit", () => {
    const outbox = filled(1);
    outbox.next();
    for (let number = 2; number <= 1000; number += 1) outbox.publish(plainBeat(number));
    expect(outbox.waiting.rows).toBe(BOUNDS.rows);
    outbox.receipt(1, progress(1, 0));
    const parcel = outbox.next();
    expect(parcel?.newest?.number).toBe(1000);
    expect(numbers(parcel?.rows)).toEqual([991, 992, 993, 994]);
  });

  it("keeps the first entries and says in the last how many were lost", () => {
    const outbox = filled(0, 12);
    expect(outbox.waiting.entries).toBe(BOUNDS.entries);
    expect(numbers(outbox.next()?.entries)).toEqual([1, 2]);
    outbox.receipt(1, progress(0, 2));
    expect(numbers(outbox.next()?.entries)).toEqual([3, 4]);
    outbox.receipt(2, progress(0, 4));
    const last = outbox.next()?.entries[0];
    expect(last).toMatchObject({ tag: "record-overflow", number: 12 });
    expect(last?.text).toContain("8 entries were lost");
  });
});

describe("what is not on the disk", () => {
  it("is kept when it was only accepted, and sent again to a new thread", () => {
    const outbox = filled(3, 1);
    expect(numbers(outbox.next()?.rows)).toEqual([1, 2, 3]);
    outbox.receipt(1, progress(3, 1, { persistedRow: 1, persistedEntry: 0 }));
    outbox.publish(plainBeat(4));
    expect(numbers(outbox.next()?.rows)).toEqual([4]);
    outbox.restarted(progress(1, 0));
    const again = outbox.next();
    expect(numbers(again?.rows)).toEqual([2, 3, 4]);
    expect(numbers(again?.entries)).toEqual([1]);
  });

  it("stays here while the log cannot be written, but for the checkpoint, and the stream goes on", () => {
    const outbox = filled(2, 1);
    outbox.next();
    outbox.receipt(1, progress(0, 0, { writable: false, trouble: "disk full" }));
    outbox.publish(plainBeat(3));
    outbox.checkpoint("{}");
    const parcel = outbox.next();
    expect(parcel).toMatchObject({ rows: [], entries: [], checkpoint: "{}" });
    expect(parcel?.newest?.number).toBe(3);
    // Nothing new has come: there is nothing to send again and again.
    outbox.receipt(2, progress(0, 0, { writable: false, trouble: "disk full" }));
    expect(outbox.next()).toBeNull();
    outbox.publish(plainBeat(4));
    expect(outbox.next()?.checkpoint).toBeNull();
    outbox.receipt(3, progress(0, 0));
    const later = outbox.next();
    expect(numbers(later?.rows)).toEqual([1, 2, 3, 4]);
    expect(numbers(later?.entries)).toEqual([1]);
    expect(later?.checkpoint).toBe("{}");
  });
});

describe("bounds", () => {
  it("are checked at birth", () => {
    expect(() => new Outbox({ ...BOUNDS, rows: 0 })).toThrow("rows");
    expect(() => new Outbox({ ...BOUNDS, entriesPerParcel: 1.5 })).toThrow("entriesPerParcel");
  });
});
