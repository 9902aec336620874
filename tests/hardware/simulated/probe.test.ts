// What sensors feel: the truth at their place with noise, and each way one sensor can be wrong.
import { describe, expect, it } from "vitest";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { permitAll, shed } from "./shed.ts";

const forGood = { startSeconds: 0, endSeconds: null };
const INLET = 0x48;
const OUTLET = 0x49;

/** Reads a chip once a second after ten minutes of carrier; readings in Celsius. */
async function readings(address: number, faults: readonly Fault[], count: number): Promise<number[]> {
  const { base, board } = shed({ faults });
  await permitAll(board);
  const handle = await board.i2c(1);
  await handle.readRegister(address, 0, 2);
  base.advance(600);
  const seen: number[] = [];
  for (let read = 0; read < count; read += 1) {
    base.advance(1);
    const [high = 0, low = 0] = await handle.readRegister(address, 0, 2);
    const raw = ((high << 24) | (low << 16)) >> 16;
    seen.push(address === INLET ? raw / 128 : raw / 256);
  }
  return seen;
}
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

describe("a sensor", () => {
  it("shows the truth with 0.08 K of noise in the chip's own steps", async () => {
    const seen = await readings(INLET, [], 300);
    const centre = mean(seen);
    const deviation = Math.sqrt(mean(seen.map((value) => (value - centre) ** 2)));
    expect(deviation).toBeGreaterThan(0.06);
    expect(deviation).toBeLessThan(0.12);
    const outlet = await readings(OUTLET, [], 50);
    expect(outlet.filter((value) => value * 16 !== Math.round(value * 16))).toEqual([]);
    expect(mean(outlet)).toBeGreaterThan(centre + 3);
  });

  it("can stick to a value", async () => {
    const stuck = await readings(
      INLET,
      [{ kind: "value stuck", part: "inlet", startSeconds: 603, endSeconds: null }],
      40,
    );
    expect(new Set(stuck.slice(3)).size).toBe(1);
    expect(new Set((await readings(INLET, [], 40)).slice(3)).size).toBeGreaterThan(10);
  });

  it("can be off, and drift away", async () => {
    const sound = mean(await readings(INLET, [], 60));
    const fault = { kind: "chip offset", part: "inlet", kelvin: 3, kelvinPerHour: 12, ...forGood } as const;
    // Ten minutes and a half into a drift of 12 K an hour: 2.1 K more.
    expect(mean(await readings(INLET, [fault], 60)) - sound).toBeCloseTo(5.1, 0);
  });

  it("can be fitted at the wrong end", async () => {
    const swapped: Fault = { kind: "air sensors swapped", ...forGood };
    const [inlet, outlet] = [await readings(INLET, [swapped], 30), await readings(OUTLET, [swapped], 30)];
    expect(mean(inlet)).toBeGreaterThan(mean(outlet) + 3);
  });
});
