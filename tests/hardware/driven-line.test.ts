// Lines that follow: the switch in the fan's supply and the one-shot's pulse, on simulated pins with what hangs on them.

import { describe, expect, it } from "vitest";
import { openHardware } from "../../hardware/open.ts";
import type { Board, DrivenLine, OutputLine } from "../../hardware/ports.ts";
import { systemError } from "../support/register-chip.ts";
import { shed, WIRING } from "./simulated/shed.ts";

const FAN_CUT = { chipLabel: null, offset: 27 };
const PULSE = { chipLabel: null, offset: 25 };
const SPEC = { ...WIRING, fanCut: FAN_CUT, pulse: PULSE };

async function fitted(spec = SPEC) {
  const { board, base } = shed({ spec });
  let mood: "well" | "refuses" | "hangs" = "well";
  const watched: Board = {
    ...board,
    outputLine: async (line): Promise<OutputLine> => {
      const output = await board.outputLine(line);
      return {
        ...output,
        write: (level) => {
          if (mood === "hangs") return new Promise(() => {});
          return mood === "refuses" ? Promise.reject(systemError("EIO", "write")) : output.write(level);
        },
      };
    },
  };
  const { hardware, faults } = await base.settle(openHardware(spec, watched));
  const line = hardware.fanCut as DrivenLine;
  const is = (how: typeof mood): void => {
    mood = how;
  };
  return { board, base, hardware, faults, line, is };
}

describe("the switch in the fan's supply", () => {
  it("lets the fan run when it is opened, and stops it while it is high", async () => {
    const { board, base, line } = await fitted();
    await base.advanceAsync(3);
    expect(board.truth().supplyVolts).toBeGreaterThan(11);
    line.put(1);
    await base.advanceAsync(8);
    expect(board.truth()).toMatchObject({ supplyVolts: 0, fanRpm: 0 });
    line.put(0);
    await base.advanceAsync(8);
    expect(board.truth().fanRpm).toBeGreaterThan(9_000);
  });

  it("frees a fan that has locked itself out, which waiting alone does not", async () => {
    const { board, base, line } = await fitted();
    board.faults.add({ kind: "fan lockout", startSeconds: board.elapsedSeconds(), endSeconds: null });
    await base.advanceAsync(60);
    expect(board.truth().fanRpm).toBe(0);
    line.put(1);
    await base.advanceAsync(0.5);
    line.put(0);
    await base.advanceAsync(10);
    expect(board.truth().fanRpm).toBe(0);
    line.put(1);
    await base.advanceAsync(2);
    line.put(0);
    await base.advanceAsync(10);
    expect(board.truth().fanRpm).toBeGreaterThan(9_000);
  });

  it("lets the fan run again when the hardware is closed", async () => {
    const { board, base, hardware, line } = await fitted();
    line.put(1);
    await base.advanceAsync(2);
    await base.settle(hardware.close());
    await base.advanceAsync(1);
    expect(board.truth().supplyVolts).toBeGreaterThan(11);
  });
});

describe("a line that does not follow", () => {
  it("says why until it follows again", async () => {
    const { base, line, is } = await fitted();
    is("refuses");
    line.put(1);
    await base.advanceAsync(1);
    expect(line.trouble?.message).toContain("27");
    is("well");
    line.put(0);
    await base.advanceAsync(1);
    expect(line.trouble).toBeNull();
  });

  it("keeps the newest level of many when it hangs, and holds nobody up", async () => {
    const { board, base, line, is } = await fitted();
    is("hangs");
    for (let order = 0; order < 1_000; order += 1) line.put(order % 2 === 0 ? 0 : 1);
    is("well");
    await base.advanceAsync(5);
    expect(board.truth().supplyVolts).toBe(0);
  });

  it("is a fault that leaves the feedpoint fit when it cannot be opened", async () => {
    const { faults, hardware } = await fitted({ ...SPEC, fanCut: SPEC.pulse });
    expect(faults).toMatchObject([{ name: "pulse", severity: "degraded" }]);
    expect(hardware.pulse).toBeNull();
  });
});

describe("the one-shot", () => {
  it("holds the permit relays while it is pulsed, and lets go of both when the pulse stands still at either level", async () => {
    for (const last of [0, 1] as const) {
      const { board, base, hardware } = await fitted();
      await base.settle(hardware.relay!.permit({ reduce: true, inhibit: true }));
      for (let second = 0; second < 20; second += 1) {
        hardware.pulse?.put(second % 2 === 0 ? 1 : 0);
        await base.advanceAsync(1);
        expect(board.contacts(), `second ${second}`).toEqual({ reduce: true, inhibit: true });
      }
      hardware.pulse?.put(last);
      await base.advanceAsync(5);
      expect(board.contacts()).toEqual({ reduce: false, inhibit: false });
      expect(await base.settle(hardware.relay!.readBack())).toEqual({ reduce: true, inhibit: true });
    }
  });
});
