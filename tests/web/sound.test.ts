// The horn without a browser's audio: nothing sounds before it is asked for, high ones call until they are acknowledged, and what
// was heard is not heard again. IEC 62682 asks for a sound for each new alarm and silence by acknowledging; the tones are our own.

import { describe, expect, it } from "vitest";
import type { WireAlarm } from "../../daemon/wire/frame.ts";
import {
  createHorn,
  isWaiting,
  newlyWaiting,
  PATTERNS,
  type Priority,
  REPEAT_SECONDS,
  worstOf,
} from "../../web/sound.ts";

const alarm = (tag: string, priority: Priority, state = "unacknowledged", since = 1): WireAlarm =>
  ({ tag, priority, state, text: "", since_seconds: since, until_seconds: null }) as WireAlarm;

/** A horn whose clock is turned by hand. */
function hornByHand() {
  const played: Priority[] = [];
  const waiting = new Map<number, { readonly at: number; readonly call: () => void }>();
  let [now, count] = [0, 0];
  const horn = createHorn({
    clock: {
      after: (seconds, call) => {
        const id = count++;
        waiting.set(id, { at: now + seconds, call });
        return () => waiting.delete(id);
      },
    },
    play: (tones) => {
      const found = (Object.keys(PATTERNS) as Priority[]).find((priority) => PATTERNS[priority] === tones);
      if (found !== undefined) played.push(found);
    },
  });
  const pass = (seconds: number): void => {
    now += seconds;
    for (const [id, { at, call }] of [...waiting]) {
      if (at > now || !waiting.delete(id)) continue;
      call();
    }
  };
  return { horn, played, pass, waiting };
}

describe("the horn", () => {
  it("is silent until it is asked for, and then calls for what waits already", () => {
    const { horn, played } = hornByHand();
    horn.follow([alarm("fan_stall", "high")]);
    expect([horn.enabled, played]).toEqual([false, []]);
    horn.enable();
    expect([horn.enabled, played]).toEqual([true, ["high"]]);
  });

  it("repeats a high one until it is acknowledged", () => {
    const { horn, played, pass, waiting } = hornByHand();
    horn.enable();
    horn.follow([alarm("fan_stall", "high")]);
    pass(REPEAT_SECONDS);
    pass(REPEAT_SECONDS);
    expect(played).toEqual(["high", "high", "high"]);
    horn.follow([alarm("fan_stall", "high", "acknowledged")]);
    pass(3 * REPEAT_SECONDS);
    expect([played.length, waiting.size]).toEqual([3, 0]);
  });

  it("sounds medium and low once each, the worst of what came together, and again when one comes back", () => {
    const { horn, played, pass } = hornByHand();
    horn.enable();
    horn.follow([alarm("rf_upsets", "low"), alarm("fan_slow", "medium")]);
    horn.follow([alarm("rf_upsets", "low"), alarm("fan_slow", "medium")]);
    pass(3 * REPEAT_SECONDS);
    expect(played).toEqual(["medium"]);
    horn.follow([]);
    horn.follow([alarm("rf_upsets", "low", "unacknowledged", 9)]);
    expect(played).toEqual(["medium", "low"]);
  });

  it("never doubles its call when a second high one comes, and stops when it is silenced", () => {
    const { horn, played, pass, waiting } = hornByHand();
    horn.enable();
    horn.follow([alarm("fan_stall", "high")]);
    horn.follow([alarm("fan_stall", "high"), alarm("core_upper_trip", "high", "latched unacknowledged")]);
    expect([played, waiting.size]).toEqual([["high", "high"], 1]);
    horn.silence();
    pass(3 * REPEAT_SECONDS);
    expect(played).toHaveLength(2);
  });

  it("tells the priorities apart by count and by pitch", () => {
    const counts = Object.values(PATTERNS).map((tones) => tones.length);
    const pitches = Object.values(PATTERNS).map((tones) => Math.max(...tones.map(({ hertz }) => hertz)));
    expect([new Set(counts).size, new Set(pitches).size]).toEqual([3, 3]);
    for (const tones of Object.values(PATTERNS)) {
      for (const [at, tone] of tones.slice(1).entries()) {
        const before = tones[at];
        if (before === undefined) throw new Error("a tone without one before it");
        expect(tone.atSeconds).toBeGreaterThan(before.atSeconds + before.seconds);
      }
    }
  });
});

describe("what waits", () => {
  it("is every unacknowledged state of the vocabulary and no other", () => {
    const states = [
      "unacknowledged",
      "returned to normal unacknowledged",
      "latched unacknowledged",
      "acknowledged",
      "latched acknowledged",
      "shelved",
      "suppressed by design",
      "out of service",
      "normal",
    ];
    expect(states.filter((state) => isWaiting({ state }))).toEqual(states.slice(0, 3));
  });

  it("is new only when it did not wait before", () => {
    const before = [alarm("a", "low"), alarm("b", "high", "acknowledged")];
    const after = [alarm("a", "low"), alarm("b", "high"), alarm("c", "medium")];
    expect(newlyWaiting(before, after).map(({ tag }) => tag)).toEqual(["b", "c"]);
    expect(worstOf(after)).toBe("high");
    expect(worstOf([])).toBeNull();
  });
});
