// The simulated header: edges with their true times, permits that close the loop on the rig, read-back that can lie.
import { describe, expect, it } from "vitest";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { permitAll, shed } from "./shed.ts";

const TACH = { chipLabel: null, offset: 17 };
const REDUCE = { chipLabel: null, offset: 23 };
const INHIBIT = { chipLabel: null, offset: 24 };
const forGood = { startSeconds: 0, endSeconds: null };

describe("the tach line", () => {
  it.each([1, 60, 600])("gives edges with their own simulated times at %i times real speed", async (speed) => {
    const { base, board } = shed({ speed });
    const line = await board.edgeLine(TACH, "pull-up");
    const times: number[] = [];
    const lateness: number[] = [];
    line.onEdge((atSeconds) => {
      times.push(atSeconds);
      lateness.push(board.clock.monotonicSeconds() - atSeconds);
    });
    const simulated = 12;
    for (let part = 0; part < 50; part += 1) await base.advanceAsync(simulated / speed / 50);
    // 11 000 rpm at two pulses a revolution is 366.67 Hz.
    expect(times.length / simulated / 366.67).toBeGreaterThan(0.97);
    expect(times.length / simulated / 366.67).toBeLessThan(1.03);
    const gaps = times.slice(1).map((time, at) => time - times[at]!);
    expect(gaps.filter((gap) => gap < 0.002 || gap > 0.0035)).toEqual([]);
    // Never later than a batch, so that a quiet line is not cried too early.
    expect(Math.max(...lateness)).toBeLessThan(speed === 1 ? 0.045 : 0.25);
    expect(Math.min(...lateness)).toBeGreaterThan(-0.001);
    await line.close();
  });

  it("falls quiet when the fan stalls, at the moment it stalls", async () => {
    const { base, board } = shed({ faults: [{ kind: "fan stall", startSeconds: 5, endSeconds: null }] });
    const line = await board.edgeLine(TACH, "pull-up");
    let latest = 0;
    const began = board.clock.monotonicSeconds();
    line.onEdge((atSeconds) => {
      latest = atSeconds;
    });
    await base.advanceAsync(10);
    expect(latest - began).toBeGreaterThan(5);
    expect(latest - began).toBeLessThan(5.25);
    expect(await line.read()).toBe(1);
  });

  it("gives nothing after cancel or close, and keeps no timer", async () => {
    const { base, board } = shed();
    const line = await board.edgeLine(TACH, "pull-up");
    let edges = 0;
    const cancel = line.onEdge(() => {
      edges += 1;
    });
    line.onEdge(() => {
      edges += 1;
    });
    await base.advanceAsync(1);
    expect(edges).toBeGreaterThan(600);
    cancel();
    await line.close();
    const before = edges;
    await base.advanceAsync(1);
    expect(edges).toBe(before);
    expect(base.pending).toBe(0);
  });

  it("is one line of many: others never move", async () => {
    const { base, board } = shed();
    const other = await board.edgeLine({ chipLabel: null, offset: 5 }, "pull-up");
    let edges = 0;
    other.onEdge(() => {
      edges += 1;
    })();
    await base.advanceAsync(1);
    expect(edges).toBe(0);
    expect(await other.read()).toBe(1);
  });
});

describe("lines of the header", () => {
  it("are opened once, and only where they exist", async () => {
    const { board } = shed();
    const line = await board.outputLine(REDUCE);
    await expect(board.outputLine(REDUCE)).rejects.toMatchObject({ code: "EBUSY" });
    await expect(board.edgeLine({ chipLabel: null, offset: 99 }, "pull-up")).rejects.toMatchObject({ code: "EINVAL" });
    await line.close();
    await line.close();
    await expect(line.write(1)).rejects.toMatchObject({ code: "EBADF" });
    expect(await (await board.outputLine(REDUCE)).read()).toBe(0);
  });

  it("start low and read back what was written", async () => {
    const { board } = shed();
    const line = await board.outputLine({ chipLabel: null, offset: 6 });
    expect(await line.read()).toBe(0);
    await line.write(1);
    expect(await line.read()).toBe(1);
  });
});

describe("permits", () => {
  /** Power two seconds after the lines were set so, with the carrier on. */
  async function wattsWith(reduce: 0 | 1, inhibit: 0 | 1, faults: readonly Fault[] = []): Promise<number> {
    const { base, board } = shed({ faults });
    const [first, second] = [await board.outputLine(REDUCE), await board.outputLine(INHIBIT)];
    await first.write(reduce);
    await second.write(inhibit);
    await base.advanceAsync(90);
    return board.station().watts;
  }

  it("limit the rig's power, or take it away", async () => {
    expect(await wattsWith(1, 1)).toBeCloseTo(1000, 6);
    expect(await wattsWith(0, 1)).toBeCloseTo(400, 6);
    expect(await wattsWith(1, 0)).toBe(0);
    expect(await wattsWith(0, 0)).toBe(0);
  });

  it("act from the moment they are written", async () => {
    const { base, board } = shed();
    await permitAll(board);
    await base.advanceAsync(90);
    expect(board.station().watts).toBeCloseTo(1000, 6);
    await board.close();
    await base.advanceAsync(1.2);
    expect(board.station().watts).toBe(0);
  });

  it("are not obeyed by a stuck relay, which reads as it stands", async () => {
    const stuck: Fault = { kind: "relay stuck", line: "inhibit", level: 1, ...forGood };
    expect(await wattsWith(1, 0, [stuck])).toBeCloseTo(1000, 6);
    const { board } = shed({ faults: [stuck] });
    const line = await board.outputLine(INHIBIT);
    await line.write(0);
    expect(await line.read()).toBe(1);
  });

  it("can be misread while the relay follows", async () => {
    const misread: Fault = { kind: "relay misread", line: "inhibit", ...forGood };
    expect(await wattsWith(1, 0, [misread])).toBe(0);
    const { board } = shed({ faults: [misread] });
    const line = await board.outputLine(INHIBIT);
    await line.write(0);
    expect(await line.read()).toBe(1);
    const other = await board.outputLine(REDUCE);
    expect(await other.read()).toBe(0);
  });

  it("stand permitted where no relay is fitted", async () => {
    const { base, board } = shed({ spec: { ...(await import("./shed.ts")).WIRING, relay: null } });
    await base.advanceAsync(90);
    expect(board.station().watts).toBeCloseTo(1000, 6);
  });
});
