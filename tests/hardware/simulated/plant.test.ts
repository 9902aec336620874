// The truth plant against conservation of energy, against common sense, and against the ranges that geometry and trials give for such a box.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  advancePlant,
  beginPlant,
  drawPlant,
  hottestToroidCelsius,
  lossGrowth,
  meanCoreCelsius,
  nominalPlant,
  outletCelsius,
  type PlantInput,
  type PlantParameters,
  type PlantState,
  sensedOutletCelsius,
  storedJoules,
  wallCelsius,
} from "../../../hardware/simulated/plant.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";

const calm: PlantInput = {
  dtSeconds: 1,
  driveWatts: 0,
  lossFraction: 0.045,
  fanRatio: 1,
  flowFactor: 1,
  inletCelsius: 25,
  ambientCelsius: 25,
  sunWatts: 0,
};

function settle(parameters: PlantParameters, change: Partial<PlantInput>, seconds = 3 * 3600): PlantState {
  const input = { ...calm, ...change };
  const state = beginPlant(parameters, input.inletCelsius);
  for (let second = 0; second < seconds; second += 1) advancePlant(parameters, state, input);
  return state;
}

/** The same box with a loss that does not care for temperature, so that the heat is known beforehand. */
const evenLoss = (parameters: PlantParameters): PlantParameters => ({
  ...parameters,
  lossSlopePerKelvin: 0,
  collapseGain: 0,
});

/** What a lumped model would call the conductances of this state. */
function lumped(parameters: PlantParameters, state: PlantState, airCelsius: number) {
  const core = meanCoreCelsius(parameters, state);
  const wall = wallCelsius(parameters, state);
  const outlet = outletCelsius(state);
  const { flows } = state;
  const a = core + 273.15;
  const b = wall + 273.15;
  return {
    core,
    U: flows.coreToAirWatts / (core - outlet),
    C: flows.airWatts / (outlet - airCelsius),
    W: flows.airToWallWatts / (outlet - wall),
    O: flows.outsideWatts / (wall - airCelsius),
    G: flows.coreToWallWatts / (core - wall) / (((a + b) * (a * a + b * b)) / 1.723e8),
    hotSpot: hottestToroidCelsius(parameters, state) - core,
  };
}

/** Ranges (5 %, 95 %) for a small plastic box with three 61 mm toroids: geometry, material data and trials; no published source. */
const RANGES = {
  U: [0.59, 1.28],
  C: [3.45, 5.16],
  W: [0.25, 0.46],
  O: [0.32, 0.51],
  G: [0.064, 0.11],
  hotSpot: [3, 8],
} as const;

const anyPlant = fc.integer({ min: 0, max: 2 ** 31 }).map((seed) => drawPlant(seededRandom(seed)));
const anyInput = fc.record({
  dtSeconds: fc.double({ min: 0.05, max: 90, noNaN: true }),
  driveWatts: fc.double({ min: 0, max: 3000, noNaN: true }),
  lossFraction: fc.double({ min: 0, max: 0.4, noNaN: true }),
  fanRatio: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 1.3, noNaN: true })),
  flowFactor: fc.double({ min: 0, max: 1, noNaN: true }),
  inletCelsius: fc.double({ min: -40, max: 50, noNaN: true }),
  ambientCelsius: fc.double({ min: -40, max: 50, noNaN: true }),
  sunWatts: fc.double({ min: 0, max: 12, noNaN: true }),
});

describe("the heat balance", () => {
  it("closes to 0.1 % whatever happens to the box", () => {
    fc.assert(
      fc.property(anyPlant, fc.array(anyInput, { minLength: 1, maxLength: 20 }), (parameters, inputs) => {
        const state = beginPlant(parameters, 18);
        const before = storedJoules(parameters, state);
        let moved = 0;
        for (const input of inputs) {
          for (let step = 0; step < 10; step += 1) advancePlant(parameters, state, input);
          moved += 1;
        }
        const { ledger } = state;
        const stored = storedJoules(parameters, state) - before;
        const net = ledger.lossJoules + ledger.sunJoules - ledger.airJoules - ledger.outsideJoules;
        const traffic =
          ledger.lossJoules + ledger.sunJoules + Math.abs(ledger.airJoules) + Math.abs(ledger.outsideJoules) + moved;
        expect(Math.abs(stored - net) / traffic).toBeLessThan(1e-3);
        for (const node of state.nodes) expect(Number.isFinite(node)).toBe(true);
      }),
      { numRuns: 150 },
    );
  });

  it("lets all heat out again in the steady state", () => {
    const { flows } = settle(nominalPlant(), { driveWatts: 1200, sunWatts: 3 }, 5 * 3600);
    expect(flows.airWatts + flows.outsideWatts).toBeCloseTo(flows.lossWatts + 3, 3);
  });

  it("does not depend on how a minute is cut into steps", () => {
    const parameters = nominalPlant();
    const coarse = beginPlant(parameters, 20);
    const fine = beginPlant(parameters, 20);
    for (let minute = 0; minute < 60; minute += 1) {
      const input = { ...calm, driveWatts: minute % 2 === 0 ? 1400 : 0, fanRatio: minute < 40 ? 1 : 0.3 };
      advancePlant(parameters, coarse, { ...input, dtSeconds: 60 });
      for (let step = 0; step < 1200; step += 1) advancePlant(parameters, fine, { ...input, dtSeconds: 0.05 });
      expect(Math.abs(meanCoreCelsius(parameters, coarse) - meanCoreCelsius(parameters, fine))).toBeLessThan(0.02);
      expect(Math.abs(sensedOutletCelsius(coarse) - sensedOutletCelsius(fine))).toBeLessThan(0.2);
    }
  });
});

describe("the nominal box", () => {
  it("has lumped values and a hot spot within the ranges, at about 70 W", () => {
    const parameters = evenLoss(nominalPlant());
    const state = settle(parameters, { driveWatts: 1000, lossFraction: 0.07 });
    const values = lumped(parameters, state, 25);
    for (const key of Object.keys(RANGES) as (keyof typeof RANGES)[]) {
      expect(values[key], key).toBeGreaterThan(RANGES[key][0]);
      expect(values[key], key).toBeLessThan(RANGES[key][1]);
    }
  });

  it("has natural convection and buoyancy within the ranges with the fan stopped", () => {
    const parameters = evenLoss(nominalPlant());
    const state = settle(parameters, { driveWatts: 400, fanRatio: 0 });
    const values = lumped(parameters, state, 25);
    const rise = values.core - 25;
    const Un = values.U / ((0.75 * rise) / 70) ** 0.25;
    const Cn = values.C / Math.sqrt((0.25 * rise) / 30);
    expect(Un).toBeGreaterThan(0.13);
    expect(Un).toBeLessThan(0.3);
    expect(values.W).toBeGreaterThan(0.12);
    expect(values.W).toBeLessThan(0.28);
    expect(Cn).toBeGreaterThan(0.05);
    expect(Cn).toBeLessThan(0.13);
  });

  it("runs the last toroid in the air hotter than the first, and the bore hotter than the outside", () => {
    const parameters = nominalPlant();
    const { nodes } = settle(parameters, { driveWatts: 1200 });
    expect(nodes[2]! - nodes[0]!).toBeGreaterThan(1);
    expect(nodes[2]! - nodes[0]!).toBeLessThan(12);
    for (const toroid of [0, 1, 2]) expect(nodes[3 + toroid]!).toBeGreaterThan(nodes[toroid]!);
  });

  it("lags behind at the outlet by the sensor's time constant, longer with the fan stopped", () => {
    const parameters = nominalPlant();
    for (const [fanRatio, lagSeconds] of [
      [1, parameters.sensorLagFanOnSeconds],
      [0, parameters.sensorLagFanOffSeconds],
    ] as const) {
      const state = beginPlant(parameters, 25);
      state.sensedOutletCelsius = 35;
      for (let tenth = 0; tenth < lagSeconds * 10; tenth += 1)
        advancePlant(parameters, state, { ...calm, dtSeconds: 0.1, fanRatio });
      expect((sensedOutletCelsius(state) - 25) / 10).toBeCloseTo(Math.exp(-1), 2);
    }
  });
});

describe("drawn boxes", () => {
  it("have lumped values of which nearly all lie within the ranges", () => {
    const inside: Record<keyof typeof RANGES, number> = { U: 0, C: 0, W: 0, O: 0, G: 0, hotSpot: 0 };
    const random = seededRandom(2026);
    const boxes = 60;
    for (let box = 0; box < boxes; box += 1) {
      const parameters = evenLoss(drawPlant(random));
      const state = settle(parameters, { driveWatts: 1000, lossFraction: 0.07 }, 5400);
      const values = lumped(parameters, state, 25);
      for (const key of Object.keys(RANGES) as (keyof typeof RANGES)[]) {
        if (values[key] > RANGES[key][0] && values[key] < RANGES[key][1]) inside[key] += 1;
        expect(values[key], key).toBeGreaterThan(RANGES[key][0] * 0.75);
        expect(values[key], key).toBeLessThan(RANGES[key][1] * 1.25);
      }
    }
    // A 5–95 % range holds 90 %; sixty boxes scatter by 4 %.
    for (const key of Object.keys(RANGES) as (keyof typeof RANGES)[])
      expect(inside[key] / boxes, key).toBeGreaterThan(0.8);
  });

  it("stray from the nominal one as far as the mismatch table says and no further", () => {
    const nominal = nominalPlant();
    const random = seededRandom(99);
    type Range = [number, number];
    const seen: { loss: Range; ferrite: Range; conductance: Range } = {
      loss: [1, 1],
      ferrite: [1, 1],
      conductance: [1, 1],
    };
    const note = (key: keyof typeof seen, ratio: number) => {
      seen[key] = [Math.min(seen[key][0], ratio), Math.max(seen[key][1], ratio)];
    };
    for (let box = 0; box < 300; box += 1) {
      const drawn = drawPlant(random);
      for (const factor of Object.values(drawn.bandLossFactors)) note("loss", factor);
      note("ferrite", drawn.ferriteHeatCapacity / nominal.ferriteHeatCapacity);
      note("conductance", drawn.coreToAirFanOn / nominal.coreToAirFanOn);
      expect(drawn.sensorLagFanOnSeconds).toBeGreaterThanOrEqual(5);
      expect(drawn.sensorLagFanOnSeconds).toBeLessThanOrEqual(20);
      expect(drawn.sensorLagFanOffSeconds).toBeGreaterThanOrEqual(30);
      expect(drawn.sensorLagFanOffSeconds).toBeLessThanOrEqual(120);
      const mean = drawn.toroidLossFactors.reduce((sum, factor) => sum + factor, 0) / drawn.toroids;
      expect(mean).toBeCloseTo(1, 12);
    }
    const [lossLow, lossHigh] = seen.loss;
    expect(lossLow).toBeGreaterThanOrEqual(0.8);
    expect(lossLow).toBeLessThan(0.81);
    expect(lossHigh).toBeLessThanOrEqual(1.2);
    expect(lossHigh).toBeGreaterThan(1.19);
    const [ferriteLow, ferriteHigh] = seen.ferrite;
    expect(ferriteLow).toBeGreaterThanOrEqual(0.9);
    expect(ferriteHigh).toBeLessThanOrEqual(1.1);
    const [conductanceLow, conductanceHigh] = seen.conductance;
    expect(conductanceLow).toBeGreaterThanOrEqual(1 / 1.4);
    expect(conductanceLow).toBeLessThan(0.75);
    expect(conductanceHigh).toBeLessThanOrEqual(1.4);
    expect(conductanceHigh).toBeGreaterThan(1.33);
  });
});

describe("cause and effect", () => {
  it("more air never makes a hotter core", () => {
    fc.assert(
      fc.property(anyPlant, fc.double({ min: 0.2, max: 1, noNaN: true }), (parameters, flowFactor) => {
        const even = evenLoss(parameters);
        const less = settle(even, { driveWatts: 900, flowFactor }, 2400);
        const more = settle(even, { driveWatts: 900, flowFactor: flowFactor * 1.2 }, 2400);
        expect(meanCoreCelsius(even, more)).toBeLessThan(meanCoreCelsius(even, less));
        expect(hottestToroidCelsius(even, more)).toBeLessThan(hottestToroidCelsius(even, less));
      }),
      { numRuns: 15 },
    );
  });

  it("more drive never makes a cooler core, runaway included", () => {
    fc.assert(
      fc.property(anyPlant, fc.double({ min: 100, max: 2500, noNaN: true }), (parameters, driveWatts) => {
        const less = settle(parameters, { driveWatts }, 2400);
        const more = settle(parameters, { driveWatts: driveWatts * 1.1 }, 2400);
        expect(meanCoreCelsius(parameters, more)).toBeGreaterThan(meanCoreCelsius(parameters, less));
      }),
      { numRuns: 15 },
    );
  });

  it("a stopped fan heats the core within minutes, and the leaving air says nothing of it", () => {
    const parameters = nominalPlant();
    const state = settle(parameters, { driveWatts: 700 });
    const before = meanCoreCelsius(parameters, state);
    const input = { ...calm, driveWatts: 700, fanRatio: 0 };
    for (let second = 0; second < 600; second += 1) advancePlant(parameters, state, input);
    expect(meanCoreCelsius(parameters, state)).toBeGreaterThan(before + 20);
    expect(state.flows.airFlowWattsPerKelvin).toBeLessThan(0.2);
  });

  it("sun on the wall warms wall and core a little", () => {
    const parameters = nominalPlant();
    const shade = settle(parameters, {});
    const sun = settle(parameters, { sunWatts: 6 });
    expect(wallCelsius(parameters, sun)).toBeGreaterThan(wallCelsius(parameters, shade) + 3);
    expect(meanCoreCelsius(parameters, sun)).toBeGreaterThan(meanCoreCelsius(parameters, shade));
    expect(meanCoreCelsius(parameters, shade)).toBeCloseTo(25, 6);
  });

  it("runs away past the Curie point when driven too hard, and stays a number", () => {
    const parameters = nominalPlant();
    const state = settle(parameters, { driveWatts: 2500, lossFraction: 0.05 });
    expect(hottestToroidCelsius(parameters, state)).toBeGreaterThan(parameters.curieCelsius + 50);
    expect(hottestToroidCelsius(parameters, state)).toBeLessThan(1000);
    expect(state.flows.lossWatts).toBeLessThan(0.5 * 2500);
  });

  it("loses more the hotter it is, and several times as much past the Curie point", () => {
    const parameters = nominalPlant();
    expect(lossGrowth(parameters, 25)).toBeCloseTo(1, 6);
    for (let celsius = -20; celsius < 250; celsius += 5)
      expect(lossGrowth(parameters, celsius + 5)).toBeGreaterThan(lossGrowth(parameters, celsius));
    expect(lossGrowth(parameters, 100)).toBeLessThan(1.1);
    expect(lossGrowth(parameters, parameters.curieCelsius + 30)).toBeGreaterThan(3);
  });
});
