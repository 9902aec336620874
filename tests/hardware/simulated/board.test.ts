// The board as its drivers see it: identity, reproducibility, supply and detector, a wall clock that may jump.
import { describe, expect, it } from "vitest";
import type { SimulatedBoard } from "../../../hardware/simulated/board.ts";
import { demoScenario } from "../../../hardware/simulated/scenario.ts";
import { permitAll, shed } from "./shed.ts";
import { DEMO_SPEC, TWELVE_SENSOR_SPEC } from "./wirings.ts";

async function word(board: SimulatedBoard, address: number, register: number): Promise<number> {
  const handle = await board.i2c(1);
  const [high = 0, low = 0] = await handle.readRegister(address, register, 2);
  return ((high << 24) | (low << 16)) >> 16;
}

describe("the board", () => {
  it("says that it is simulated and has a boot identity of its own", () => {
    const { board, base } = shed();
    expect(board.simulated).toBe(true);
    expect(board.clock.bootId).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-8[0-9a-f]{3}-[0-9a-f]{12}$/);
    expect(board.clock.bootId).not.toBe(base.bootId);
    expect(shed({ seed: 2 }).board.clock.bootId).not.toBe(board.clock.bootId);
  });

  it("gives the same readings for the same seed, others for another", async () => {
    const run = async (seed: number): Promise<number[]> => {
      const { base, board } = shed({ seed, scenario: demoScenario(3) });
      await permitAll(board);
      const seen: number[] = [];
      for (let second = 0; second < 30; second += 1) {
        base.advance(1);
        seen.push(await word(board, 0x48, 0), await word(board, 0x49, 0));
      }
      return seen;
    };
    const first = await run(7);
    expect(await run(7)).toEqual(first);
    expect(await run(8)).not.toEqual(first);
  });

  it("shows the supply at the INA226 and the drive at the ADS1115", async () => {
    const { base, board } = shed();
    await permitAll(board);
    base.advance(120);
    // 1.25 mV and 2.5 µV a step, 0.1 Ω.
    expect((await word(board, 0x40, 0x02)) * 0.00125).toBeCloseTo(12, 1);
    const amperes = ((await word(board, 0x40, 0x01)) * 2.5e-6) / 0.1;
    expect(Math.abs(amperes - board.truth().supplyAmperes)).toBeLessThan(0.01);
    const handle = await board.i2c(1);
    const detect = async (input: number): Promise<number> => {
      const configuration = 0x8000 | ((4 + input) << 12) | 0x0200 | 0x0183;
      await handle.write(0x4a, Uint8Array.of(0x01, configuration >> 8, configuration & 0xff));
      base.advance(0.01);
      return (await word(board, 0x4a, 0x00)) * 125e-6;
    };
    // 2 V at 1 kW forward; a standing wave ratio of 1.3 sends back 0.3/2.3 of the voltage.
    expect(await detect(0)).toBeCloseTo(2, 2);
    expect(await detect(1)).toBeCloseTo((2 * 0.3) / 2.3, 2);
    expect(await detect(2)).toBeCloseTo(0, 2);
  });

  it("lets the wall clock jump for a while, monotonic time goes on", () => {
    const { base, board } = shed({
      faults: [{ kind: "wall clock jump", seconds: -86_400, startSeconds: 10, endSeconds: 20 }],
    });
    const wall = board.clock.wallSeconds();
    const monotonic = board.clock.monotonicSeconds();
    base.advance(15);
    expect(board.clock.wallSeconds() - wall).toBeCloseTo(15 - 86_400, 6);
    expect(board.clock.wallIsTrusted()).toBe(false);
    expect(board.clock.monotonicSeconds() - monotonic).toBeCloseTo(15, 6);
    base.advance(10);
    expect(board.clock.wallSeconds() - wall).toBeCloseTo(25, 6);
    expect(board.clock.wallIsTrusted()).toBe(true);
  });

  it("takes a fault while it runs", () => {
    const { base, board } = shed();
    base.advance(30);
    expect(board.truth().fanRpm).toBeGreaterThan(10_000);
    const end = board.faults.add({ kind: "fan stall", startSeconds: board.elapsedSeconds(), endSeconds: null });
    base.advance(5);
    expect(board.truth().fanRpm).toBe(0);
    end();
    base.advance(10);
    expect(board.truth().fanRpm).toBeGreaterThan(10_000);
  });

  it("refuses two chips at one address", () => {
    const twice = { ...DEMO_SPEC.sensors[0]!, name: "other" };
    expect(() => shed({ spec: { ...DEMO_SPEC, sensors: [...DEMO_SPEC.sensors, twice] } })).toThrow(
      /i2c-1 0x48 is taken by inlet/,
    );
  });

  it("builds the twelve-sensor wiring", async () => {
    const { base, board } = shed({ spec: TWELVE_SENSOR_SPEC });
    base.advance(2);
    expect(TWELVE_SENSOR_SPEC.sensors).toHaveLength(12);
    expect(new Set(TWELVE_SENSOR_SPEC.sensors.map(({ name }) => name)).size).toBe(12);
    const third = await board.i2c(3);
    expect([...(await third.readRegister(0x48, 0x0f, 2))]).toEqual([0x75, 0x00]);
    expect(await board.readText("/sys/class/hwmon/hwmon2/temp1_input")).toMatch(/^\d+\n$/);
  });
});
