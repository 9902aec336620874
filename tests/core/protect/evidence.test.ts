// Evidence gathered over time: inlet and outlet exchanged, RF upsets, the relay's read-back, the plain heat balance.

import { describe, expect, it } from "vitest";
import { boxConstantsOf } from "../../../daemon/core/estimate/model.ts";
import { airCelsiusAt, conductancesAt } from "../../../daemon/core/physics/box.ts";
import { agrees, hearRelay, type RelayWatch, wantPermits } from "../../../daemon/core/protect/relay-watch.ts";
import { areSwapped, gatherSwapEvidence } from "../../../daemon/core/protect/swapped.ts";
import { advanceUpsets, beginUpsets, type Upsets, upsetsPerMinute } from "../../../daemon/core/protect/upsets.ts";
import { balanceCelsius, hearWitness } from "../../../daemon/core/protect/witness.ts";
import { bad, good, type Readings } from "../../../daemon/core/readings.ts";
import { FAN, MODEL, READINGS } from "./fixtures.ts";

const air = (inlet: number, outlet: number, watts = 0): Readings => ({
  ...READINGS,
  inlet: good(inlet),
  outlet: good(outlet),
  drive: { watts: good(watts), frequencyHertz: 3.6e6, mode: "CW", transmitting: watts > 0 },
});

describe("inlet and outlet exchanged", () => {
  it("gathers while the outlet is colder, three times as fast with the transmitter keyed", () => {
    expect(gatherSwapEvidence(0, air(30, 25), true, 1)).toBe(1);
    expect(gatherSwapEvidence(0, air(30, 25, 500), true, 1)).toBe(3);
  });

  it("loses what it gathered when the outlet is warmer", () => {
    expect(gatherSwapEvidence(10, air(25, 30), true, 4)).toBe(6);
    expect(gatherSwapEvidence(1, air(25, 30), true, 4)).toBe(0);
  });

  it("learns nothing within tolerance, from a fan that may stand, or from what is missing", () => {
    expect(gatherSwapEvidence(10, air(25, 24.5), true, 4)).toBe(10);
    expect(gatherSwapEvidence(10, air(30, 25), false, 4)).toBe(10);
    expect(gatherSwapEvidence(10, air(30, 25), null, 4)).toBe(10);
    expect(gatherSwapEvidence(10, { ...air(30, 25), inlet: bad("NACK") }, true, 4)).toBe(10);
    expect(gatherSwapEvidence(10, { ...air(30, 25), outlet: null }, true, 4)).toBe(10);
  });

  it("has a bound, and one long gap proves little", () => {
    expect(gatherSwapEvidence(890, air(30, 25, 500), true, 100)).toBe(900);
    expect(gatherSwapEvidence(0, air(30, 25), true, 5000)).toBe(10);
  });
});

describe("the verdict on an exchange", () => {
  it("comes with enough evidence and goes with half of it", () => {
    expect([299, 300].map((evidence) => areSwapped(false, evidence, 300))).toEqual([false, true]);
    expect([149, 150].map((evidence) => areSwapped(true, evidence, 300))).toEqual([false, true]);
  });
});

describe("RF upsets", () => {
  const over = (seconds: number, from: Upsets, errorsPerSecond: number, keyed: boolean): Upsets => {
    let upsets = from;
    let errors = keyed ? from.lastTransmitting : from.lastReceiving;
    for (let second = 0; second < seconds; second += 1) {
      errors += errorsPerSecond;
      const transmitting = keyed ? errors : upsets.lastTransmitting;
      const receiving = keyed ? upsets.lastReceiving : errors;
      upsets = advanceUpsets(upsets, transmitting, receiving, keyed, upsets.atSeconds + 1);
    }
    return upsets;
  };

  it("are rates per minute of each kind of time", () => {
    const received = over(300, beginUpsets(100, 200, 0), 0.01, false);
    const rates = upsetsPerMinute(over(300, received, 0.2, true));
    expect(rates.transmitting).toBeCloseTo(12, 0);
    expect(rates.receiving).toBeCloseTo(0.6, 1);
  });

  it("make no rate of one error in a short over", () => {
    const begun = beginUpsets(0, 0, 0);
    expect(upsetsPerMinute(advanceUpsets(begun, 1, 0, true, 1)).transmitting).toBe(1);
  });

  it("do not count a counter that was set back", () => {
    expect(advanceUpsets(beginUpsets(50, 50, 0), 0, 0, true, 1)).toMatchObject({
      transmittingErrors: 0,
      receivingErrors: 0,
    });
  });

  it("count time of neither kind while nobody knows whether it transmits", () => {
    const upsets = advanceUpsets(beginUpsets(0, 0, 0), 0, 0, null, 10);
    expect([upsets.transmittingSeconds, upsets.receivingSeconds]).toEqual([0, 0]);
  });

  it("fade", () => {
    const noisy = over(300, beginUpsets(0, 0, 0), 1, true);
    expect(over(9000, noisy, 0, true).transmittingErrors).toBeLessThan(noisy.transmittingErrors / 500);
  });
});

describe("the relay's read-back", () => {
  const wanted = { reduce: true, inhibit: true };

  it.each([
    [{ reduce: true, inhibit: true }, true],
    [{ reduce: false, inhibit: true }, false],
    [{ reduce: true, inhibit: null }, null],
    [{ reduce: null, inhibit: false }, false],
  ])("%o against both energised: %s", (relay, expected) => {
    expect(agrees(wanted, relay)).toBe(expected);
  });

  it("measures how long a change takes to be read back", () => {
    const idle: RelayWatch = { wanted, changedSeconds: null, latencySeconds: null };
    const changed = wantPermits(idle, { reduce: false, inhibit: true }, 10);
    expect(hearRelay(changed, { reduce: true, inhibit: true }, 10.2)).toBe(changed);
    expect(hearRelay(changed, null, 10.2)).toBe(changed);
    expect(hearRelay(changed, { reduce: false, inhibit: true }, 10.4)).toMatchObject({ changedSeconds: null });
    expect(hearRelay(changed, { reduce: false, inhibit: true }, 10.4).latencySeconds).toBeCloseTo(0.4, 9);
    expect(wantPermits(idle, { ...wanted }, 11)).toBe(idle);
  });
});

describe("the plain heat balance", () => {
  // Forward: the network's own balance of the air gives the outlet for a known core; backward: the witness must find that core.
  it.each([
    [60, 1],
    [100, 1],
    [100, 0.6],
    [110, 1.2],
  ])("finds a core at %d °C from the outlet that it makes, at speed ratio %d", (core, speedRatio) => {
    const inlet = 25;
    const g = conductancesAt(boxConstantsOf(MODEL), { coreCelsius: core, wallCelsius: inlet }, inlet, {
      speedRatio,
      flowFactor: 1,
    });
    // The wall as warm as the air: no heat between them.
    const outlet = airCelsiusAt({ ...g, airToWall: 0 }, core, inlet, inlet);
    // The network's conductances also change a little with temperature, which the plain balance leaves out: it reads high by that.
    const error = (balanceCelsius(MODEL, inlet, outlet, speedRatio) - core) / (core - inlet);
    expect(error).toBeGreaterThan(-0.01);
    expect(error).toBeLessThan(0.05);
  });

  it("reads high, the safe side, when the vents are clogged", () => {
    const g = conductancesAt(boxConstantsOf(MODEL), { coreCelsius: 90, wallCelsius: 25 }, 25, {
      speedRatio: 1,
      flowFactor: 0.5,
    });
    const outlet = airCelsiusAt({ ...g, airToWall: 0 }, 90, 25, 25);
    expect(balanceCelsius(MODEL, 25, outlet, 1)).toBeGreaterThan(90);
  });

  const hear = (part: Partial<Readings>, turning: boolean | null = true, swapped = false, run: number | null = null) =>
    hearWitness(MODEL, { ...READINGS, ...part }, turning, swapped, run);

  it("does not silence a probe, nor the probe it", () => {
    expect(hear({ core: good(77) }, true, false, 90)).toEqual({ probeCelsius: 77, sumCelsius: 90, bad: false });
    expect(hear({ core: good(77), outlet: bad("NACK") })).toEqual({ probeCelsius: 77, sumCelsius: null, bad: false });
  });

  it.each<[string, Partial<Readings>, boolean | null, boolean]>([
    ["the outlet is bad", { outlet: bad("NACK") }, true, false],
    ["the inlet is bad", { inlet: bad("NACK") }, true, false],
    ["the two are exchanged", {}, true, true],
    ["only a probe is fitted and it is bad", { outlet: null, core: bad("NACK") }, true, false],
  ])("is bad when %s", (_, part, turning, swapped) => {
    expect(hear(part, turning, swapped)).toEqual({ probeCelsius: null, sumCelsius: null, bad: true });
  });

  it.each<[string, Partial<Readings>, boolean | null]>([
    ["nothing is fitted", { outlet: null }, true],
    ["no inlet is fitted", { inlet: null }, true],
    ["the fan stands", {}, false],
    ["nobody believes the speed", {}, null],
    ["the fan hardly turns", { fan: { ...FAN, rpm: good(800) } }, true],
  ])("is silent, not bad, when %s", (_, part, turning) => {
    expect(hear(part, turning)).toEqual({ probeCelsius: null, sumCelsius: null, bad: false });
  });

  it("is the hotter of the balance and the run by drive alone, and the run goes on when the outlet is bad", () => {
    const cold = { inlet: good(20), outlet: good(21) };
    expect(hear(cold, true, false, 10).sumCelsius).toBeCloseTo(balanceCelsius(MODEL, 20, 21, 1), 9);
    expect(hear(cold, true, false, 90).sumCelsius).toBe(90);
    expect(hear({ ...cold, outlet: bad("STUCK") }, true, false, 90)).toMatchObject({ sumCelsius: 90, bad: true });
  });

  it("takes the nominal speed where no tachometer is fitted", () => {
    const { sumCelsius } = hear({ fan: null, inlet: good(25), outlet: good(35) }, null);
    expect(sumCelsius).toBeCloseTo(balanceCelsius(MODEL, 25, 35, 1), 9);
  });
});
