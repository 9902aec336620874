// The real hardware layer on the simulated board: every driver identifies its chip, reads the truth, and names each fault by its code.
import { describe, expect, it } from "vitest";
import { HardwareError } from "../../../hardware/errors.ts";
import { type OpenResult, openHardware } from "../../../hardware/open.ts";
import type { HardwareSpec, Role } from "../../../hardware/ports.ts";
import type { SimulatedBoard } from "../../../hardware/simulated/board.ts";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import type { Truth } from "../../../hardware/simulated/feedpoint.ts";
import { demoScenario } from "../../../hardware/simulated/scenario.ts";
import type { ManualClock } from "../../support/manual-clock.ts";
import { shed, WIRING } from "./shed.ts";
import { DEMO_SPEC, TWELVE_SENSOR_SPEC } from "./wirings.ts";

type Opened = OpenResult & { readonly base: ManualClock; readonly board: SimulatedBoard };

async function opened(spec: HardwareSpec, faults: readonly Fault[] = [], speed = 1): Promise<Opened> {
  const { base, board } = shed({ spec, faults, speed, scenario: demoScenario(1) });
  await base.advanceAsync(2 / speed);
  const result = await base.settle(openHardware(spec, board));
  return { ...result, base, board };
}

/** Lets simulated time reach `seconds`; faster than real it waits for its tasks, so the way there is not counted. */
async function until(all: Opened, seconds: number): Promise<void> {
  while (all.board.elapsedSeconds() < seconds) await all.base.advanceAsync(0.1 / all.board.clock.speed);
}

/** Closes even where a fault keeps the relay from obeying. */
const close = (all: Opened): Promise<void> => all.base.settle(all.hardware.close().catch(() => {}));

function truthOf(role: Role, truth: Truth): number {
  const places: Record<Role, number> = {
    inlet: truth.inletCelsius,
    outlet: truth.outletCelsius,
    wall: truth.wallCelsius,
    ambient: truth.ambientCelsius,
    core: truth.meanCoreCelsius,
  };
  return places[role];
}

/** The sensor's reading, or the code it failed with. */
async function readingOf(all: Opened, name: string): Promise<number | string> {
  const sensor = all.hardware.temperatures.find((candidate) => candidate.name === name)!;
  return all.base.settle(
    sensor.read().then(
      ({ celsius }) => celsius,
      (error: unknown) => (error instanceof HardwareError ? error.code : String(error)),
    ),
  );
}

describe("the real drivers on the simulated board", () => {
  it.each([
    ["demo", DEMO_SPEC],
    ["twelve sensors", TWELVE_SENSOR_SPEC],
    ["kernel sensors too", WIRING],
  ] as const)("find and read every part (%s)", async (_name, spec) => {
    const all = await opened(spec);
    expect(all.faults).toEqual([]);
    expect(all.fit).toBe(true);
    expect(all.hardware.simulated).toBe(true);
    expect(all.hardware.temperatures).toHaveLength(spec.sensors.length);
    // An LM75 has steps of half a degree.
    for (let round = 0; round < 3; round += 1) {
      await all.base.advanceAsync(1);
      for (const { name, role } of spec.sensors) {
        const shown = await readingOf(all, name);
        // A 12-bit conversion on 1-wire outlasts one wait; the next reading has it.
        if (shown === "TIMEOUT" && role === "core") continue;
        expect(Math.abs(Number(shown) - truthOf(role, all.board.truth())), name).toBeLessThan(0.75);
      }
    }
    await all.base.settle(all.hardware.close());
  });

  it("read humidity, supply and drive", async () => {
    const all = await opened(DEMO_SPEC);
    const { relay, supply, drive, temperatures } = all.hardware;
    await all.base.settle(relay!.permit({ reduce: true, inhibit: true }));
    await all.base.advanceAsync(1);
    const climate = await all.base.settle(temperatures.find(({ name }) => name === "ambient")!.read());
    expect(Math.abs(climate.humidityRatio! - all.board.truth().humidityRatio)).toBeLessThan(0.03);
    const { volts, amperes } = await all.base.settle(supply!.read());
    expect(volts).toBeCloseTo(12, 1);
    expect(Math.abs(amperes - all.board.truth().supplyAmperes)).toBeLessThan(0.01);
    for (let second = 0; second < 30; second += 1) {
      await all.base.advanceAsync(1);
      const watts = all.board.station().watts;
      const { forwardVolts } = await all.base.settle(drive!.read());
      // 2 V at 1 kW, and a tenth of a second of keying between the two looks.
      expect(Math.abs(1000 * (forwardVolts / 2) ** 2 - watts)).toBeLessThan(200);
    }
    await all.base.settle(all.hardware.close());
  });

  it.each([1, 10, 600])("make a speed of the edges at %i times real speed, and wake when they stop", async (speed) => {
    const all = await opened(DEMO_SPEC, [{ kind: "fan stall", startSeconds: 20, endSeconds: null }], speed);
    const tachometer = all.hardware.tachometer!;
    const wokenAtSeconds: number[] = [];
    tachometer.onQuiet(0.3, () => wokenAtSeconds.push(all.board.elapsedSeconds()));
    await until(all, 18);
    expect(wokenAtSeconds).toEqual([]);
    const turning = await all.base.settle(tachometer.read());
    expect(Math.abs(turning.rpm! - all.board.truth().fanRpm)).toBeLessThan(150);
    expect(turning.regularity!).toBeGreaterThan(0.8);
    await until(all, 22);
    expect(wokenAtSeconds).toHaveLength(1);
    expect(wokenAtSeconds[0]!).toBeGreaterThan(20.3);
    expect(wokenAtSeconds[0]!).toBeLessThan(20.7);
    expect((await all.base.settle(tachometer.read())).rpm).toBe(0);
    await all.base.settle(all.hardware.close());
  });

  it("move the permit lines and read them back", async () => {
    const all = await opened(DEMO_SPEC);
    const relay = all.hardware.relay!;
    expect(await all.base.settle(relay.readBack())).toEqual({ reduce: false, inhibit: false });
    await all.base.settle(relay.permit({ reduce: true, inhibit: true }));
    expect(await all.base.settle(relay.readBack())).toEqual({ reduce: true, inhibit: true });
    let strongest = 0;
    for (let second = 0; second < 60; second += 1) {
      await all.base.advanceAsync(1);
      strongest = Math.max(strongest, all.board.station().watts);
    }
    expect(strongest).toBeGreaterThan(1000);
    await all.base.settle(relay.permit({ reduce: false, inhibit: true }));
    for (let second = 0; second < 60; second += 1) {
      await all.base.advanceAsync(1);
      if (second > 2) expect(all.board.station().watts).toBeLessThanOrEqual(400);
    }
    await all.base.settle(all.hardware.close());
    await all.base.advanceAsync(2);
    expect(all.board.station().watts).toBe(0);
  });
});

describe("scripted faults come out of the real drivers by their codes", () => {
  const from = { startSeconds: 30, endSeconds: null };
  const cases: readonly [HardwareSpec, string, Fault, string][] = [
    [DEMO_SPEC, "inlet", { kind: "chip silent", part: "inlet", ...from }, "NACK"],
    [DEMO_SPEC, "inlet", { kind: "power-on value", part: "inlet", ...from }, "NOT_READY"],
    [DEMO_SPEC, "ambient", { kind: "checksum wrong", part: "ambient", ...from }, "CRC"],
    [DEMO_SPEC, "ambient", { kind: "garbage bytes", part: "ambient", ...from }, "CRC"],
    [DEMO_SPEC, "outlet", { kind: "bus stuck", bus: 1, ...from }, "TIMEOUT"],
    [DEMO_SPEC, "inlet", { kind: "calls fail", first: 1, count: 1_000_000, errno: "EIO", ...from }, "IO"],
    [WIRING, "core", { kind: "power-on value", part: "core", ...from }, "POWER_ON_VALUE"],
    [WIRING, "core", { kind: "checksum wrong", part: "core", ...from }, "CRC"],
    [WIRING, "core", { kind: "chip silent", part: "core", ...from }, "IO"],
    [WIRING, "wall", { kind: "garbage bytes", part: "wall", ...from }, "MALFORMED"],
    [WIRING, "wall", { kind: "chip silent", part: "wall", ...from }, "NACK"],
  ];
  it.each(cases)("%#: $2.kind", async (spec, name, fault, code) => {
    const all = await opened(spec, [fault]);
    expect(all.faults).toEqual([]);
    await all.base.advanceAsync(1);
    expect(typeof (await readingOf(all, name)) === "number" || name === "core").toBe(true);
    await all.base.advanceAsync(60);
    const seen = new Set<number | string>();
    for (let read = 0; read < 4; read += 1) {
      seen.add(await readingOf(all, name));
      await all.base.advanceAsync(1);
    }
    expect([...seen]).toContain(code);
    expect([...seen].filter((reading) => typeof reading === "number")).toEqual([]);
    await close(all);
  });

  it("a held bus is called stuck, and let go again", async () => {
    const all = await opened(DEMO_SPEC, [{ kind: "bus stuck", bus: 1, startSeconds: 30, endSeconds: 60 }]);
    const bus = () => all.hardware.buses()[0]!;
    const readAll = async (rounds: number): Promise<void> => {
      for (let round = 0; round < rounds; round += 1) {
        for (const { name } of DEMO_SPEC.sensors) await readingOf(all, name);
        await all.base.advanceAsync(1);
      }
    };
    await all.base.advanceAsync(28);
    await readAll(3);
    expect(bus().stuck).toBe(true);
    await all.base.advanceAsync(40);
    await readAll(3);
    expect(bus().stuck).toBe(false);
    expect(typeof (await readingOf(all, "inlet"))).toBe("number");
    await all.base.settle(all.hardware.close());
  });

  it("a relay that does not follow is found by its read-back", async () => {
    const stuck: Fault = { kind: "relay stuck", line: "inhibit", level: 1, startSeconds: 30, endSeconds: null };
    const all = await opened(DEMO_SPEC, [stuck]);
    await all.base.advanceAsync(40);
    const outcome = await all.base.settle(
      all.hardware.relay!.permit({ reduce: false, inhibit: false }).then(
        () => "done",
        (error: HardwareError) => error.code,
      ),
    );
    const shown = await all.base.settle(all.hardware.relay!.readBack());
    expect(shown.inhibit).toBe(true);
    expect(["done", "READBACK"]).toContain(outcome);
    await close(all);
  });

  it.each([2000, 20_000])("noise of %i edges a second on the tach makes no speed", async (edgesPerSecond) => {
    const noise: Fault = { kind: "tach noise", edgesPerSecond, startSeconds: 30, endSeconds: null };
    const lost: Fault = { kind: "tach lead lost", startSeconds: 30, endSeconds: null };
    const all = await opened(DEMO_SPEC, [noise, lost]);
    await all.base.advanceAsync(40);
    for (let read = 0; read < 5; read += 1) {
      await all.base.advanceAsync(1);
      const { rpm, regularity } = await all.base.settle(all.hardware.tachometer!.read());
      expect(rpm === null || rpm === 0 || regularity! < 0.8).toBe(true);
    }
    await all.base.settle(all.hardware.close());
  });
});
