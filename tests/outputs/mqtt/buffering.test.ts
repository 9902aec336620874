// What waits for a broker, and how much: newest wins for a retained topic, nothing of the record is lost or out of order, whatever
// breaks when. The session is a scripted one; the real broker has a suite of its own.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { Bookmark } from "../../../daemon/outputs/mqtt/bookmark.ts";
import type { Message, Session } from "../../../daemon/outputs/mqtt/broker-link.ts";
import { RecordLane, type RecordSource } from "../../../daemon/outputs/mqtt/record-lane.ts";
import { Slot } from "../../../daemon/outputs/mqtt/slot.ts";
import type { SentLine } from "../../../daemon/outputs/mqtt/topics.ts";
import type { LoggedLine } from "../../../daemon/season/record-page.ts";
import { testFolder } from "../../support/folder.ts";

/** A session whose acknowledgements a test gives. */
class HandSession implements Session {
  readonly underway: { readonly message: Message; readonly settle: (error?: Error) => void }[] = [];
  most = 0;

  readonly publish = (message: Message): Promise<void> =>
    new Promise((resolve, reject) => {
      const settle = (error?: Error): void => (error === undefined ? resolve() : reject(error));
      this.underway.push({ message, settle });
      this.most = Math.max(this.most, this.underway.length);
    });

  readonly subscribe = (): Promise<void> => Promise.reject(new Error("a feedpoint subscribes to nothing"));

  /** Settles all that is under way and lets what follows from it happen. */
  async settle(error?: Error): Promise<readonly Message[]> {
    const settled = this.underway.splice(0);
    for (const { settle } of settled) settle(error);
    await turn();
    return settled.map(({ message }) => message);
  }
}

/** Until every promise that can go on has gone on. */
const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));
const BROKEN = new Error("the session ended");

describe("a retained topic", () => {
  const slotWith = (expirySeconds: number | null, nowSeconds = () => 0) => {
    const refused: unknown[] = [];
    const options = { topic: "t", expirySeconds, nowSeconds, onAcknowledged: () => undefined };
    return { slot: new Slot({ ...options, onRefused: (error) => refused.push(error) }), refused };
  };

  it("has one message under way and one that waits, however many were put", async () => {
    const { slot } = slotWith(null);
    const session = new HandSession();
    slot.open(session);
    for (let number = 1; number <= 10_000; number += 1) slot.put(`${number}`);
    expect(session.most).toBe(1);
    expect((await session.settle()).map(({ text }) => text)).toEqual(["1"]);
    expect((await session.settle()).map(({ text }) => text)).toEqual(["10000"]);
    expect(session.underway).toEqual([]);
  });

  it("is sent again to a new session, for the broker may have lost it", async () => {
    const { slot } = slotWith(null);
    const [first, second] = [new HandSession(), new HandSession()];
    slot.put("a");
    slot.open(first);
    await first.settle();
    slot.close();
    slot.open(second);
    expect((await second.settle()).map(({ text }) => text)).toEqual(["a"]);
  });

  it("takes the time that it waited off its life, and is not sent when nothing is left of it", async () => {
    let now = 0;
    const { slot } = slotWith(30, () => now);
    slot.put("a");
    now = 12;
    const session = new HandSession();
    slot.open(session);
    expect((await session.settle())[0]?.expirySeconds).toBe(18);
    slot.close();
    now = 29.8;
    const later = new HandSession();
    slot.open(later);
    expect(later.underway).toEqual([]);
  });

  it("tells a refusal, and keeps a broken session to itself", async () => {
    const { slot, refused } = slotWith(null);
    const session = new HandSession();
    slot.open(session);
    slot.put("a");
    await session.settle(BROKEN);
    expect(refused).toEqual([]);
    slot.open(session);
    const no = Object.assign(new Error("Publish error"), { code: 135 });
    await session.settle(no);
    expect(refused).toEqual([no]);
  });
});

/** A log of `lines` lines in the present run. */
function logOf(lines: number): { readonly source: RecordSource; add(count: number): void } {
  const all: LoggedLine[] = [];
  const add = (count: number): void => {
    for (let left = count; left > 0; left -= 1) {
      const id = all.length + 1;
      const words = { kind: "alarm", tag: "fan_stall", text: `line ${id}`, by: null } as const;
      all.push({ id, wall_seconds: id, wall_trusted: true, ...words, run: "run", number: id });
    }
  };
  add(lines);
  const source: RecordSource = {
    after: (id, most) => all.filter((line) => line.id > id).slice(0, most),
    recent: (most) => all.slice(-most).reverse(),
    newest: (earlierRunsOnly) => (earlierRunsOnly ? 0 : all.length),
    count: (afterId) => all.filter((line) => line.id > afterId).length,
  };
  return { source, add };
}

function laneOn(source: RecordSource, file: string) {
  const refused: unknown[] = [];
  const options = { source, bookmark: new Bookmark(file), topic: "record", onRecent: () => undefined };
  return { lane: new RecordLane({ ...options, onRefused: (error) => refused.push(error) }), refused };
}

const lineOf = ({ text }: Message): SentLine => JSON.parse(text) as SentLine;

describe("the record", () => {
  it("goes out in order and in bounded batches, each line naming the one before", async () => {
    const { source } = logOf(100);
    const { lane } = laneOn(source, join(testFolder(), "mark"));
    const session = new HandSession();
    lane.open(session);
    const sent: SentLine[] = [];
    while (session.underway.length > 0) sent.push(...(await session.settle()).map(lineOf));
    expect(sent.map(({ id }) => id)).toEqual(Array.from({ length: 100 }, (_, index) => index + 1));
    expect(sent.map(({ id, previous }) => id - previous)).toEqual(Array(100).fill(1));
    expect(session.most).toBe(32);
    expect(lane.waiting).toBe(0);
  });

  it("loses nothing when sessions break at any place and the daemon is started anew each time", async () => {
    const file = join(testFolder(), "mark");
    const { source, add } = logOf(10);
    const taken = new Set<number>();
    let rounds = 0;
    while (taken.size < 150 && rounds < 100) {
      rounds += 1;
      const { lane } = laneOn(source, file);
      const session = new HandSession();
      lane.open(session);
      // Some rounds break before the broker has answered, some after it took a batch whose answer was lost, some go well.
      if (rounds % 3 === 0) await session.settle(BROKEN);
      else
        for (const message of await session.settle(rounds % 3 === 1 ? BROKEN : undefined))
          taken.add(lineOf(message).id);
      lane.close();
      if (rounds <= 14) add(10);
    }
    expect([...taken].sort((a, b) => a - b)).toEqual(Array.from({ length: 150 }, (_, index) => index + 1));
  });

  it("begins with the present run where nobody listened before, and follows a log that was put back", async () => {
    const { source } = logOf(40);
    const before: RecordSource = { ...source, newest: (earlierRunsOnly) => (earlierRunsOnly ? 30 : 40) };
    const file = join(testFolder(), "mark");
    const first = new HandSession();
    laneOn(before, file).lane.open(first);
    expect((await first.settle()).map(lineOf).map(({ id }) => id)).toEqual([31, 32, 33, 34, 35, 36, 37, 38, 39, 40]);
    const { source: shorter, add } = logOf(5);
    const { lane } = laneOn(shorter, file);
    const second = new HandSession();
    lane.open(second);
    expect(second.underway).toEqual([]);
    add(1);
    lane.look();
    await turn();
    expect((await second.settle()).map(lineOf).map(({ id }) => id)).toEqual([6]);
  });

  it("stops at a refusal, tells it, and sends the line again in the next session", async () => {
    const { source } = logOf(1);
    const { lane, refused } = laneOn(source, join(testFolder(), "mark"));
    const session = new HandSession();
    lane.open(session);
    await session.settle(Object.assign(new Error("Publish error"), { code: 135 }));
    expect(refused).toHaveLength(1);
    lane.close();
    const next = new HandSession();
    lane.open(next);
    expect((await next.settle()).map(lineOf).map(({ id }) => id)).toEqual([1]);
  });

  it("waits while the log cannot be read", () => {
    const broken = (): never => {
      throw new Error("disk I/O error");
    };
    const { lane } = laneOn(
      { after: broken, recent: broken, newest: broken, count: broken },
      join(testFolder(), "mark"),
    );
    const session = new HandSession();
    lane.open(session);
    lane.look();
    expect(lane.waiting).toBeNull();
    expect(session.underway).toEqual([]);
  });
});

describe("the place in the record", () => {
  it("is none in a file that holds nonsense, so that lines are sent again rather than left out", () => {
    const file = join(testFolder(), "mark");
    for (const text of ["", "{}", '{"id":-1}', '{"id":1.5}', "\0\0\0\0", "[1]", "null"]) {
      writeFileSync(file, text);
      expect(new Bookmark(file).id).toBeNull();
    }
  });

  it("is remembered to the end of the run where it cannot be kept, and that is told", () => {
    const mark = new Bookmark(join(testFolder(), "no such folder", "mark"));
    mark.move(7);
    expect(mark.id).toBe(7);
    expect(mark.trouble).toMatch(/ENOENT/);
  });
});
