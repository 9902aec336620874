// Opening a whole feedpoint on the simulated board: everything answers, everything wrong is reported at once with what to do,
// parts that come back are read again, and the drivers turn each scripted fault into its code.

import { describe, expect, it } from "vitest";
import { HardwareError } from "../../hardware/errors.ts";
import { type OpenResult, openHardware } from "../../hardware/open.ts";
import { placeOfLine } from "../../hardware/place.ts";
import type { Board, Hardware, HardwareSpec } from "../../hardware/ports.ts";
import { type SimulatedBoard, simulatedBoard } from "../../hardware/simulated/board.ts";
import type { Trouble } from "../../hardware/simulated/faults.ts";
import { demoScenario } from "../../hardware/simulated/scenario.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { DEMO_SPEC, TWELVE_SENSOR_SPEC } from "./simulated/wirings.ts";

type Opened = {
  readonly board: SimulatedBoard;
  readonly clock: ManualClock;
  readonly result: OpenResult;
  readonly hardware: Hardware;
};

function boardOf(spec: HardwareSpec): { readonly board: SimulatedBoard; readonly clock: ManualClock } {
  const clock = new ManualClock();
  const board = simulatedBoard({
    spec,
    scenario: { ...demoScenario(1), prerollSeconds: 0 },
    clock,
    speed: 1,
    seed: 1,
    lossFractionAt: () => 0.04,
  });
  return { board, clock };
}

async function opened(spec: HardwareSpec, troubles: readonly Trouble[] = []): Promise<Opened> {
  const { board, clock } = boardOf(spec);
  for (const trouble of troubles) board.faults.add({ startSeconds: 0, endSeconds: null, ...trouble });
  const result = await clock.settle(openHardware(spec, board));
  return { board, clock, result, hardware: result.hardware };
}

const sensor = (hardware: Hardware, name: string) => {
  const found = hardware.temperatures.find((part) => part.name === name);
  if (found === undefined) throw new Error(`no sensor ${name}`);
  return found;
};

/** One wire of everything: chips of all kinds, two hwmon thermometers, one on 1-Wire. */
const EVERYTHING: HardwareSpec = {
  ...TWELVE_SENSOR_SPEC,
  sensors: [
    ...TWELVE_SENSOR_SPEC.sensors,
    { name: "core", role: "core", source: { kind: "one-wire", path: "/sys/bus/w1/devices/28-00000a1b2c3d" } },
  ],
};

describe("a sound feedpoint", () => {
  it("opens without a fault, every part says what it is", async () => {
    const { result } = await opened(EVERYTHING);
    expect(result.faults).toEqual([]);
    expect(result.fit).toBe(true);
    const names = [...EVERYTHING.sensors.map((each) => each.name), "supply", "drive", "tachometer", "relay"];
    expect(result.identities.map((each) => each.name).toSorted()).toEqual(names.toSorted());
  });

  it("reads close to the truth with every chip", async () => {
    const { board, clock, hardware } = await opened(EVERYTHING);
    await clock.advanceAsync(1);
    await clock.settle(sensor(hardware, "core").read());
    await clock.advanceAsync(1);
    const truth = board.truth();
    const expected = {
      inlet: truth.inletCelsius,
      outlet: truth.outletCelsius,
      wall: truth.wallCelsius,
      ambient: truth.ambientCelsius,
      core: truth.meanCoreCelsius,
    };
    for (const part of hardware.temperatures) {
      const sample = await clock.settle(part.read());
      // Air at rest moves by a tenth of a kelvin, and an LM75 has steps of half a kelvin.
      expect(Math.abs(sample.celsius - expected[part.role])).toBeLessThan(0.8);
    }
    const supply = await clock.settle(hardware.supply?.read() ?? Promise.reject(new Error("no supply")));
    expect(supply.volts).toBeCloseTo(truth.supplyVolts, 1);
    expect(supply.amperes).toBeCloseTo(truth.supplyAmperes, 2);
    const fan = await hardware.tachometer?.read();
    expect(Math.abs((fan?.rpm ?? 0) / truth.fanRpm - 1)).toBeLessThan(0.02);
    expect(fan?.regularity).toBeGreaterThan(0.9);
  });

  it("gives counters for each bus", async () => {
    const { hardware } = await opened(EVERYTHING);
    const health = hardware.buses();
    expect(health.map((bus) => bus.bus).toSorted()).toEqual(["i2c-1", "i2c-3"]);
    for (const bus of health) expect(bus).toMatchObject({ errors: {}, stuck: false, reopens: 0 });
  });

  it("wakes a cycle within half a second of a stall at 11 000 rpm", async () => {
    const { board, clock, hardware } = await opened(DEMO_SPEC);
    const woken: number[] = [];
    hardware.tachometer?.onQuiet(0.3, () => woken.push(board.elapsedSeconds()));
    await clock.advanceAsync(5);
    const stalledSeconds = board.elapsedSeconds();
    board.faults.add({ kind: "fan stall", startSeconds: stalledSeconds, endSeconds: null });
    await clock.advanceAsync(2);
    expect(woken).toHaveLength(1);
    expect((woken[0] ?? 0) - stalledSeconds).toBeLessThan(0.5);
    await expect(hardware.tachometer?.read()).resolves.toMatchObject({ rpm: 0 });
  });

  it("releases the relay when it is closed, before anything else", async () => {
    const { board, clock, hardware } = await opened(DEMO_SPEC);
    await clock.settle(hardware.relay?.permit({ reduce: true, inhibit: true }) ?? Promise.resolve());
    await clock.settle(hardware.close());
    const line = await board.outputLine({ chipLabel: null, offset: 24 });
    await expect(line.read()).resolves.toBe(0);
    await expect(hardware.relay?.readBack()).rejects.toMatchObject({ code: "CLOSED" });
    await expect(sensor(hardware, "inlet").read()).rejects.toMatchObject({ code: "CLOSED" });
  });
});

describe("a feedpoint without anything", () => {
  it("opens with nothing in it", async () => {
    const { result, hardware } = await opened({
      sensors: [],
      tachometer: null,
      supply: null,
      drive: null,
      relay: null,
      ptt: null,
      buzzer: null,
      fanCut: null,
      pulse: null,
    });
    expect(result).toMatchObject({ faults: [], identities: [], fit: true });
    expect(hardware).toMatchObject({ temperatures: [], tachometer: null, supply: null, drive: null, relay: null });
    await expect(hardware.close()).resolves.toBeUndefined();
  });
});

describe("faults at start", () => {
  it("are all reported, each with its place, its code and what to do", async () => {
    const { result } = await opened(DEMO_SPEC, [
      { kind: "chip silent", part: "inlet" },
      { kind: "chip silent", part: "supply" },
      { kind: "checksum wrong", part: "ambient" },
    ]);
    expect(result.faults).toEqual([
      expect.objectContaining({ name: "inlet", place: "i2c-1 0x48", code: "NACK", severity: "degraded" }),
      expect.objectContaining({ name: "ambient", place: "i2c-1 0x44", code: "WRONG_DEVICE", severity: "degraded" }),
      expect.objectContaining({ name: "supply", place: "i2c-1 0x40", code: "NACK", severity: "degraded" }),
    ]);
    for (const fault of result.faults) {
      expect(fault.message).toContain(fault.place);
      expect(fault.remedy).toMatch(/\.$/);
    }
    expect(result.fit).toBe(true);
    expect(result.identities.map((each) => each.name).toSorted()).toEqual([
      "drive",
      "outlet",
      "relay",
      "tachometer",
      "wall",
    ]);
  });

  it("leave the part in the feedpoint: it reads bad, and good again when the chip is back", async () => {
    const { board, clock, hardware } = await opened(DEMO_SPEC);
    const end = board.faults.add({ kind: "chip silent", part: "inlet", startSeconds: 0, endSeconds: null });
    await expect(clock.settle(sensor(hardware, "inlet").read())).rejects.toMatchObject({ code: "NACK" });
    end();
    await expect(clock.settle(sensor(hardware, "inlet").read())).resolves.toMatchObject({ humidityRatio: null });
  });

  it("name another chip at an address", async () => {
    const { board, clock } = boardOf(DEMO_SPEC);
    const wrong = DEMO_SPEC.sensors.map((each) =>
      each.name === "wall" && each.source.kind === "i2c"
        ? { ...each, source: { ...each.source, chip: "tmp117" as const } }
        : each,
    );
    const { faults } = await clock.settle(openHardware({ ...DEMO_SPEC, sensors: wrong }, board));
    expect(faults).toEqual([expect.objectContaining({ name: "wall", code: "WRONG_DEVICE", place: "i2c-1 0x18" })]);
  });

  it("name a missing bus for each part on it", async () => {
    const { board, clock } = boardOf(DEMO_SPEC);
    const moved = DEMO_SPEC.sensors.map((each) =>
      each.source.kind === "i2c" ? { ...each, source: { ...each.source, bus: 7 } } : each,
    );
    const { faults, fit } = await clock.settle(openHardware({ ...DEMO_SPEC, sensors: moved }, board));
    expect(faults.map((fault) => fault.code)).toEqual(["BUS_MISSING", "BUS_MISSING", "BUS_MISSING", "BUS_MISSING"]);
    expect(faults[0]?.remedy).toContain("dtparam=i2c_arm=on");
    expect(fit).toBe(true);
  });

  it("on the tach line leave a tachometer that says why it cannot be read", async () => {
    const { board, clock } = boardOf(DEMO_SPEC);
    const tachometer = {
      kind: "gpio",
      line: { chipLabel: null, offset: 99 },
      bias: "pull-up",
      pulsesPerRevolution: 2,
    } as const;
    const { faults, hardware, fit } = await clock.settle(openHardware({ ...DEMO_SPEC, tachometer }, board));
    expect(faults).toEqual([expect.objectContaining({ name: "tachometer", code: "LINE_MISSING", place: "gpio 99" })]);
    await expect(hardware.tachometer?.read()).rejects.toMatchObject({ code: "LINE_MISSING" });
    expect(fit).toBe(true);
    await expect(hardware.close()).resolves.toBeUndefined();
  });

  it.each([
    ["a line that does not exist", { chipLabel: null, offset: 99 }, "LINE_MISSING"],
    ["one line for both", DEMO_SPEC.relay?.inhibit ?? { chipLabel: null, offset: 24 }, "LINE_BUSY"],
    ["the tach's own line", { chipLabel: null, offset: 17 }, "LINE_BUSY"],
  ])("with the relay on %s are fatal, and the rest is still there for a check", async (_what, reduce, code) => {
    const { board, clock } = boardOf(DEMO_SPEC);
    if (placeOfLine(reduce) === "gpio 17") await board.edgeLine(reduce, "pull-up");
    const relay = { reduce, inhibit: { chipLabel: null, offset: 24 } };
    const { faults, fit, hardware } = await clock.settle(openHardware({ ...DEMO_SPEC, relay }, board));
    expect(faults).toContainEqual(expect.objectContaining({ name: "relay", code, severity: "fatal" }));
    expect(fit).toBe(false);
    await expect(hardware.relay?.permit({ reduce: true, inhibit: true })).rejects.toMatchObject({ code });
    await expect(clock.settle(sensor(hardware, "inlet").read())).resolves.toBeDefined();
  });

  it("with a relay that stays energised are fatal", async () => {
    const { result } = await opened(DEMO_SPEC, [{ kind: "relay stuck", line: "inhibit", level: 1 }]);
    expect(result.faults).toEqual([expect.objectContaining({ name: "relay", code: "READBACK", severity: "fatal" })]);
    expect(result.fit).toBe(false);
  });

  it("do not take forever when a line never opens", async () => {
    const clock = new ManualClock();
    const never: Board = { ...boardOf(DEMO_SPEC).board, clock, outputLine: () => new Promise(() => undefined) };
    const { faults } = await clock.settle(
      openHardware(
        {
          sensors: [],
          tachometer: null,
          supply: null,
          drive: null,
          ptt: null,
          buzzer: null,
          fanCut: null,
          pulse: null,
          relay: DEMO_SPEC.relay,
        },
        never,
      ),
    );
    expect(faults).toEqual([expect.objectContaining({ name: "relay", code: "TIMEOUT", severity: "fatal" })]);
    expect(clock.monotonicSeconds()).toBeCloseTo(1010, 2);
  });
});

describe("a spec that no configuration can mean", () => {
  it.each([
    [
      "a reserved address",
      { sensors: [{ ...DEMO_SPEC.sensors[0], source: { kind: "i2c", chip: "lm75", bus: 1, address: 3 } }] },
    ],
    ["a shunt of nothing", { supply: { chip: "ina219", bus: 1, address: 0x40, shuntOhms: 0 } }],
    [
      "one input for both directions",
      { drive: { chip: "ads1115", bus: 1, address: 0x4a, forwardChannel: 1, reflectedChannel: 1 } },
    ],
    [
      "no pulses",
      { tachometer: { kind: "gpio", line: { chipLabel: null, offset: 17 }, bias: "pull-up", pulsesPerRevolution: 0 } },
    ],
  ])("is refused: %s", async (_what, change) => {
    const { board, clock } = boardOf(DEMO_SPEC);
    const spec = { ...DEMO_SPEC, ...change } as HardwareSpec;
    await expect(clock.settle(openHardware(spec, board))).rejects.toThrow(RangeError);
  });
});

describe("faults while it runs, by part and code", () => {
  it.each([
    ["inlet", { kind: "chip silent", part: "inlet" }, "NACK"],
    ["inlet", { kind: "bus stuck", bus: 1 }, "TIMEOUT"],
    ["inlet", { kind: "power-on value", part: "inlet" }, "NOT_READY"],
    ["ambient", { kind: "checksum wrong", part: "ambient" }, "CRC"],
    ["shade", { kind: "checksum wrong", part: "shade" }, "CRC"],
    ["wall high", { kind: "chip silent", part: "wall high" }, "NACK"],
    ["wall high", { kind: "garbage bytes", part: "wall high" }, "MALFORMED"],
  ] as const)("%s with %o is %s", async (name, trouble, code) => {
    const { board, clock, hardware } = await opened(EVERYTHING);
    await clock.advanceAsync(2);
    await clock.settle(sensor(hardware, name).read());
    board.faults.add({ startSeconds: 0, endSeconds: null, ...trouble });
    await expect(clock.settle(sensor(hardware, name).read())).rejects.toMatchObject({ code });
  });

  it.each([
    [{ kind: "chip silent", part: "core" }, "IO"],
    [{ kind: "checksum wrong", part: "core" }, "CRC"],
    [{ kind: "power-on value", part: "core" }, "POWER_ON_VALUE"],
  ] as const)("core on 1-Wire with %o is %s, after the conversion that was under way", async (trouble, code) => {
    const { board, clock, hardware } = await opened(EVERYTHING);
    await clock.advanceAsync(2);
    await clock.settle(sensor(hardware, "core").read());
    board.faults.add({ startSeconds: 0, endSeconds: null, ...trouble });
    await clock.advanceAsync(1);
    const outcomes = [];
    for (let cycle = 0; cycle < 3; cycle += 1) {
      outcomes.push((await clock.settle(Promise.allSettled([sensor(hardware, "core").read()])))[0]);
      await clock.advanceAsync(1);
    }
    expect(outcomes.at(-1)).toMatchObject({ status: "rejected", reason: { code } });
  });

  it("noise of 20 000 edges a second reads as no speed", async () => {
    const { board, clock, hardware } = await opened(DEMO_SPEC);
    await clock.advanceAsync(2);
    board.faults.add({ kind: "tach noise", edgesPerSecond: 20_000, startSeconds: 0, endSeconds: null });
    const readings: (number | null | undefined)[] = [];
    for (let cycle = 0; cycle < 10; cycle += 1) {
      await clock.advanceAsync(1);
      readings.push((await hardware.tachometer?.read())?.rpm);
    }
    expect(readings).toEqual(Array.from({ length: 10 }, () => null));
  });

  it("a bus that was stuck is read again when its wires are free", async () => {
    const { board, clock, hardware } = await opened(DEMO_SPEC);
    await clock.advanceAsync(2);
    const end = board.faults.add({ kind: "bus stuck", bus: 1, startSeconds: 0, endSeconds: null });
    const sweep = () => clock.settle(Promise.allSettled(hardware.temperatures.map((part) => part.read())));
    for (let cycle = 0; cycle < 10; cycle += 1) {
      const began = clock.monotonicSeconds();
      const outcomes = await sweep();
      expect(outcomes.every((outcome) => outcome.status === "rejected")).toBe(true);
      expect(clock.monotonicSeconds() - began).toBeLessThanOrEqual(0.7);
      await clock.advanceAsync(1);
    }
    expect(hardware.buses()[0]?.stuck).toBe(true);
    end();
    let cycles = 0;
    for (let good = 0; good < hardware.temperatures.length && cycles < 10; cycles += 1) {
      await clock.advanceAsync(1);
      good = (await sweep()).filter((outcome) => outcome.status === "fulfilled").length;
    }
    expect(cycles).toBeLessThanOrEqual(4);
    expect(hardware.buses()[0]?.stuck).toBe(false);
  });

  it("every error of every part is a HardwareError at a place", async () => {
    const { board, clock, hardware } = await opened(EVERYTHING);
    for (const errno of ["EIO", "ENODEV", "EBUSY", "ENOMEM"]) {
      board.faults.add({
        kind: "calls fail",
        first: board.calls() + 1,
        count: 40,
        errno,
        startSeconds: 0,
        endSeconds: null,
      });
      const outcomes = await clock.settle(Promise.allSettled(hardware.temperatures.map((part) => part.read())));
      for (const outcome of outcomes) {
        if (outcome.status === "rejected") expect(outcome.reason).toBeInstanceOf(HardwareError);
      }
      expect(outcomes.some((outcome) => outcome.status === "rejected")).toBe(true);
      await clock.advanceAsync(5);
    }
  });
});
