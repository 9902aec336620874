// The buzzer on simulated pins: its rhythm to the hundredth of a second, silence when nobody asks, and a line that refuses.

import { describe, expect, it } from "vitest";
import { openHardware } from "../../hardware/open.ts";
import { placeOfLine } from "../../hardware/place.ts";
import type { Board, Buzzer, OutputLine } from "../../hardware/ports.ts";
import type { ManualClock } from "../support/manual-clock.ts";
import { systemError } from "../support/register-chip.ts";
import { shed, WIRING } from "./simulated/shed.ts";

const LINE = { chipLabel: null, offset: 25 };

/** A buzzer on a pin of the simulated board; `strokes` has the second and level of every write. */
async function fitted() {
  const { board, base } = shed({ spec: { ...WIRING, buzzer: LINE } });
  const strokes: { readonly at: number; readonly level: 0 | 1 }[] = [];
  let refuses = false;
  const watched: Board = {
    ...board,
    outputLine: async (spec): Promise<OutputLine> => {
      const line = await board.outputLine(spec);
      if (placeOfLine(spec) !== placeOfLine(LINE)) return line;
      return {
        ...line,
        write: async (level) => {
          if (refuses) throw systemError("EIO", "write");
          await line.write(level);
          strokes.push({ at: base.monotonicSeconds(), level });
        },
      };
    },
  };
  const { hardware } = await base.settle(openHardware({ ...WIRING, buzzer: LINE }, watched));
  const buzzer = hardware.buzzer as Buzzer;
  const refuse = (how: boolean): void => {
    refuses = how;
  };
  return { buzzer, base, strokes, hardware, refuse };
}

const FAST = { onSeconds: 0.25, offSeconds: 0.25 };

/** Asks once a second, as the heartbeat does. */
async function ask(buzzer: Buzzer, base: ManualClock, seconds: number): Promise<void> {
  for (let second = 0; second < seconds; second += 1) {
    buzzer.sound(FAST);
    await base.advanceAsync(1);
  }
}

describe("the buzzer", () => {
  it("is silent when it is opened, and sounds its rhythm without a break while it is asked for", async () => {
    const { buzzer, base, strokes } = await fitted();
    await base.advanceAsync(2);
    expect(strokes).toEqual([]);
    await ask(buzzer, base, 3);
    expect(strokes.slice(0, 12).map(({ level }) => level)).toEqual([1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0]);
    const first = strokes[0]?.at ?? 0;
    for (const [index, { at }] of strokes.slice(0, 12).entries()) expect(at - first).toBeCloseTo(index / 4, 2);
  });

  it("is silent at once when silence is asked for, and by itself when nobody asks", async () => {
    const { buzzer, base, strokes } = await fitted();
    buzzer.sound(FAST);
    await base.advanceAsync(0.1);
    buzzer.sound(null);
    await base.advanceAsync(0.01);
    expect(strokes.map(({ level }) => level)).toEqual([1, 0]);
    await base.advanceAsync(5);
    expect(strokes).toHaveLength(2);
    buzzer.sound(FAST);
    await base.advanceAsync(20);
    expect(strokes.at(-1)?.level).toBe(0);
    expect((strokes.at(-1)?.at ?? 0) - (strokes[2]?.at ?? 0)).toBeLessThan(4);
  });

  it("says why its line does not follow, and is silenced as soon as it does", async () => {
    const { buzzer, base, strokes, refuse } = await fitted();
    buzzer.sound(FAST);
    await base.advanceAsync(0.1);
    refuse(true);
    buzzer.sound(null);
    await base.advanceAsync(0.1);
    expect(buzzer.trouble).toMatchObject({ code: "IO" });
    refuse(false);
    buzzer.sound(null);
    await base.advanceAsync(0.1);
    expect(buzzer.trouble).toBeNull();
    expect(strokes.at(-1)?.level).toBe(0);
  });

  it("gives its line back silent", async () => {
    const { buzzer, base, strokes, hardware } = await fitted();
    buzzer.sound(FAST);
    await base.advanceAsync(0.1);
    await base.settle(hardware.close());
    expect(strokes.at(-1)?.level).toBe(0);
    const count = strokes.length;
    await base.advanceAsync(2);
    expect(strokes).toHaveLength(count);
  });

  it("refuses a rhythm that is none", async () => {
    const { buzzer } = await fitted();
    expect(() => buzzer.sound({ onSeconds: 0, offSeconds: 1 })).toThrow(RangeError);
  });

  it("that cannot be opened is a fault that the daemon can run with", async () => {
    const { board, base } = shed({ spec: WIRING });
    const { hardware, faults, fit } = await base.settle(
      openHardware({ ...WIRING, buzzer: { chipLabel: null, offset: 999 } }, board),
    );
    expect(hardware.buzzer).toBeNull();
    expect(fit).toBe(true);
    expect(faults).toMatchObject([{ name: "buzzer", code: "LINE_MISSING", severity: "degraded" }]);
  });
});
