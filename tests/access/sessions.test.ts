// The ages of sessions, by a clock that a test moves; what else they do is told in gate.test.ts, with the real files.

import { randomBytes } from "node:crypto";
import { beforeEach, describe, expect, it } from "vitest";
import { IDLE_SECONDS, LONGEST_SECONDS, Sessions } from "../../daemon/access/sessions.ts";
import { ManualClock } from "../support/manual-clock.ts";

const HOUR = 3600;

let clock: ManualClock;
let kept: string[];
let sessions: Sessions;
beforeEach(() => {
  clock = new ManualClock();
  kept = [];
  sessions = new Sessions({ clock, draw: randomBytes, load: () => null, keep: (text) => kept.push(text) });
});

describe("a session", () => {
  it("ends when nobody uses it, and at its age when somebody does", () => {
    const [idle, busy] = [sessions.open("operator", "sealed", "here"), sessions.open("operator", "sealed", "here")];
    const standsAfter = (seconds: number): boolean => {
      let standing = true;
      for (let gone = 0; gone < seconds; gone += HOUR) {
        clock.advance(HOUR);
        standing = sessions.use(busy) !== null;
      }
      return standing;
    };
    expect(standsAfter(IDLE_SECONDS)).toBe(true);
    expect(sessions.use(idle)).toBeNull();
    expect(standsAfter(LONGEST_SECONDS - IDLE_SECONDS - HOUR)).toBe(true);
    expect(standsAfter(HOUR)).toBe(false);
  });

  it("wears the card no more often than every half hour by being used", () => {
    const secret = sessions.open("viewer", "sealed", "here");
    for (let second = 0; second < 4 * HOUR; second += 10) {
      clock.advance(10);
      sessions.use(secret);
    }
    expect(kept.length).toBeGreaterThan(2);
    expect(kept.length).toBeLessThanOrEqual(1 + 8);
  });
});
