// Identification: a run that the network itself made is given back, a run without a core reading is no calibration, and runs that teach
// nothing are refused with what to change.

import { describe, expect, it } from "vitest";
import { solveLeastSquares } from "../../../daemon/commands/heat-run/solver.ts";
import { type FitResult, fitHeatRun, type HeatRunFit } from "../../../daemon/core/estimate/fit.ts";
import { boxConstantsOf, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { cutIntoBlocks, type HeatRunSample, refusalsOf } from "../../../daemon/core/estimate/recording.ts";
import { advanceBox, airCelsiusAt, type BoxConstants, conductancesAt } from "../../../daemon/core/physics/box.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";

const MINUTE = 60;
const prior = modelFromPriors({
  nominalRpm: 11_000,
  bands: [
    { band: "80 m", lowHertz: 3.5e6, highHertz: 4.0e6, lossFraction: 0.05 },
    { band: "40 m", lowHertz: 7.0e6, highHertz: 7.3e6, lossFraction: 0.044 },
  ],
});
const KAPPA = [1.15, 0.88] as const;

/** A box that the priors allow but do not guess. */
const truth: BoxConstants = (() => {
  const box = boxConstantsOf(prior);
  return {
    ...box,
    coreToAirWattsPerKelvin: 1.25 * box.coreToAirWattsPerKelvin,
    airHeatFlowWattsPerKelvin: 0.92 * box.airHeatFlowWattsPerKelvin,
    coreToAirFanOffWattsPerKelvin: 0.75 * box.coreToAirFanOffWattsPerKelvin,
    outletLagSeconds: 9,
  };
})();

type Plan = {
  readonly seconds: number;
  readonly watts: (second: number) => number;
  readonly hertz?: (second: number) => number;
  readonly rpm?: (second: number) => number;
  readonly spots?: readonly number[];
  readonly noiseKelvin?: number;
};

/** Plays a plan on the network with the true constants, second by second. */
function record(plan: Plan): HeatRunSample[] {
  const random = seededRandom(5);
  const noise = plan.noiseKelvin ?? 0.05;
  let at = { coreCelsius: 20, wallCelsius: 20 };
  let sensor = 20;
  const samples: HeatRunSample[] = [];
  for (let second = 0; second < plan.seconds; second++) {
    const hertz = plan.hertz?.(second) ?? 3.6e6;
    const watts = plan.watts(second);
    const rpm = plan.rpm?.(second) ?? 11_000;
    const band = hertz < 5e6 ? 0 : 1;
    samples.push({
      timeSeconds: 1000 + second,
      inletCelsius: 20 + noise * random.normal(),
      outletCelsius: sensor + noise * random.normal(),
      wallCelsius: null,
      spotCoreCelsius: plan.spots?.includes(second) ? at.coreCelsius + random.normal() : null,
      fanRpm: rpm,
      driveWatts: watts,
      frequencyHertz: hertz,
    });
    const air = { speedRatio: rpm / 11_000, flowFactor: 1 };
    const g = conductancesAt(truth, at, 20, air);
    const lag = g.stopped ? truth.outletLagFanOffSeconds : truth.outletLagSeconds;
    sensor += (airCelsiusAt(g, at.coreCelsius, at.wallCelsius, 20) - sensor) * -Math.expm1(-1 / lag);
    const lossWatts = watts * prior.bands[band]!.lossFraction * KAPPA[band]!;
    at = advanceBox(truth, at, { inletCelsius: 20, sunWatts: 0, lossWatts }, air, 1);
  }
  return samples;
}

const keyed = (watts: number, from: number, to: number) => (second: number) =>
  second >= from && second < to ? watts : 0;
const PLAIN: Plan = {
  seconds: 85 * MINUTE,
  watts: keyed(900, 5 * MINUTE, 45 * MINUTE),
  spots: [45 * MINUTE + 10, 47 * MINUTE, 50 * MINUTE, 55 * MINUTE],
};

function fitted(result: FitResult): HeatRunFit {
  if (result.kind === "refused") throw new Error(result.refusals.map(({ text }) => text).join("; "));
  return result.fit;
}
const fitOf = (plan: Plan): HeatRunFit => fitted(fitHeatRun(prior, record(plan), solveLeastSquares, "orchard, May"));
const quantity = (of: HeatRunFit, name: string) => {
  const found = of.quantities.find((one) => one.name === name);
  if (found === undefined) throw new Error(`no ${name}`);
  return found;
};

describe("a run with core readings", () => {
  const found = fitOf(PLAIN);

  it("gives back the ratios that temperatures can tell", () => {
    const value = (name: string): number => quantity(found, name).value;
    const ratio = value("coreToAirWattsPerKelvin") / value("airHeatFlowWattsPerKelvin");
    const trueRatio = truth.coreToAirWattsPerKelvin / truth.airHeatFlowWattsPerKelvin;
    expect(Math.abs(Math.log(ratio / trueRatio))).toBeLessThan(0.08);
    const heating = value("kappa 80 m") / value("coreHeatCapacityJoulesPerKelvin");
    expect(Math.abs(Math.log((heating * truth.coreHeatCapacityJoulesPerKelvin) / KAPPA[0]))).toBeLessThan(0.05);
    expect(Math.abs(value("outletLagSeconds") - truth.outletLagSeconds)).toBeLessThan(2);
  });

  it("calls itself calibrated and carries the run's name", () => {
    expect(found.model.calibration).toBe("calibrated");
    expect(found.model.origin).toBe("orchard, May");
    expect(found.model.riseUncertaintyRatio.fanOn).toBeLessThan(prior.riseUncertaintyRatio.fanOn / 4);
    expect(found.outletResidualKelvin).toBeLessThan(0.05);
  });

  it("says which quantities the data moved and which stand on the prior", () => {
    expect(quantity(found, "coreToAirWattsPerKelvin").identified).toBe(true);
    for (const name of ["coreToAirFanOffWattsPerKelvin", "airHeatFlowFanOffWattsPerKelvin", "outletLagFanOffSeconds"]) {
      const stands = quantity(found, name);
      expect(stands.identified, name).toBe(false);
      expect(stands.uncertaintyRatio, name).toBeCloseTo(stands.priorUncertaintyRatio, 9);
    }
  });

  it("never claims to know more of a quantity than before and after the data allow", () => {
    for (const { name, leftOfPrior, uncertaintyRatio, priorUncertaintyRatio } of found.quantities) {
      expect(leftOfPrior, name).toBeGreaterThan(0);
      expect(leftOfPrior, name).toBeLessThanOrEqual(1);
      expect(uncertaintyRatio, name).toBeLessThanOrEqual(priorUncertaintyRatio);
    }
  });

  it("has a correlation matrix: ones on the diagonal, symmetric, within ±1", () => {
    found.correlation.forEach((row, i) => {
      expect(row).toHaveLength(found.quantities.length);
      expect(row[i]).toBeCloseTo(1, 9);
      row.forEach((value, j) => {
        expect(Math.abs(value)).toBeLessThanOrEqual(1 + 1e-9);
        expect(value).toBeCloseTo(found.correlation[j]![i]!, 9);
      });
    });
  });

  it("keeps the trace for a plot and the core readings beside their fit", () => {
    expect(found.trace.length).toBe(Math.ceil(PLAIN.seconds / 10));
    expect(found.spots).toHaveLength(4);
    for (const spot of found.spots) expect(Math.abs(spot.celsius - spot.fittedCelsius)).toBeLessThan(4);
  });
});

describe("a run without a core reading", () => {
  it("is no calibration however good its residual", () => {
    const found = fitOf({ ...PLAIN, spots: [] });
    expect(found.outletResidualKelvin).toBeLessThan(0.1);
    expect(found.model.calibration).toBe("not calibrated");
    expect(found.model.riseUncertaintyRatio.fanOn).toBeGreaterThanOrEqual(0.2);
  });
});

describe("fewer core readings", () => {
  it("leave a wider bound", () => {
    const one = fitOf({ ...PLAIN, spots: [45 * MINUTE + 10] });
    expect(one.model.riseUncertaintyRatio.fanOn).toBeGreaterThan(fitOf(PLAIN).model.riseUncertaintyRatio.fanOn);
  });
});

describe("a run over two bands", () => {
  const found = fitOf({
    ...PLAIN,
    watts: (second) => (second >= 300 && second < 2700 ? 900 : 0),
    hertz: (second) => (second < 1500 ? 3.6e6 : 7.1e6),
  });

  it("gives each band its own κ", () => {
    const [eighty, forty] = found.model.bands;
    expect(Math.abs(eighty!.kappa / forty!.kappa / (KAPPA[0] / KAPPA[1]) - 1)).toBeLessThan(0.06);
    expect(eighty!.kappaUncertainty).toBeLessThan(0.06);
    expect(forty!.kappaUncertainty).toBeLessThan(0.06);
  });
});

describe("a part with the fan stopped", () => {
  it("teaches the still sensor's lag and moves natural convection towards the truth", () => {
    const stop = (second: number): number => (second > 46 * MINUTE && second < 60 * MINUTE ? 0 : 11_000);
    const found = fitOf({ ...PLAIN, rpm: stop, spots: [45.2, 47, 50, 53, 56, 59, 61].map((at) => at * MINUTE) });
    const learned = quantity(found, "coreToAirFanOffWattsPerKelvin");
    expect(quantity(found, "outletLagFanOffSeconds").identified).toBe(true);
    expect(Math.abs(learned.movedBy)).toBeGreaterThan(0.5);
    const off = Math.abs(Math.log(learned.value / truth.coreToAirFanOffWattsPerKelvin));
    expect(off).toBeLessThan(0.5 * Math.abs(Math.log(learned.prior / truth.coreToAirFanOffWattsPerKelvin)));
  });
});

describe("runs that teach nothing", () => {
  const codes = (samples: readonly HeatRunSample[]): string[] => {
    const result = fitHeatRun(prior, samples, solveLeastSquares, "x");
    return result.kind === "refused" ? result.refusals.map(({ code }) => code) : [];
  };
  const good = record(PLAIN);

  it.each([
    ["TOO_SHORT", good.slice(0, 15 * MINUTE)],
    ["TOO_COOL", record({ ...PLAIN, watts: keyed(150, 5 * MINUTE, 45 * MINUTE) })],
    ["TOO_NOISY", record({ ...PLAIN, noiseKelvin: 1.2 })],
    ["NO_OUTLET", good.map((sample) => ({ ...sample, outletCelsius: null }))],
    ["NO_DRIVE", good.map((sample) => ({ ...sample, driveWatts: null }))],
    ["NO_BAND", good.map((sample) => ({ ...sample, frequencyHertz: 5.3e6 }))],
    ["NO_COOL_DOWN", good.slice(0, 46 * MINUTE)],
    [
      "NOT_EXPLAINED",
      good.map((s) => (s.spotCoreCelsius === null ? s : { ...s, spotCoreCelsius: s.spotCoreCelsius + 40 })),
    ],
  ] as const)("%s", (code, samples) => {
    expect(codes(samples)).toContain(code);
  });

  it("each say what was found, what was expected and what to do", () => {
    const refusals = refusalsOf(good.slice(0, 15 * MINUTE), cutIntoBlocks(prior, good.slice(0, 15 * MINUTE)));
    expect(refusals.map(({ text }) => text)).toContain(
      "run lasts 900 s, expected at least 1200 s: key down longer, record the cool-down too",
    );
  });
});

describe("cutting into blocks", () => {
  it("averages within a block, holds inputs through gaps and leaves missing outlets missing", () => {
    const samples = record({ ...PLAIN, seconds: 60 }).map((sample, second) =>
      second >= 20 && second < 30
        ? { ...sample, inletCelsius: null, outletCelsius: null }
        : { ...sample, inletCelsius: second, outletCelsius: second },
    );
    const blocks = cutIntoBlocks(prior, samples);
    expect(blocks.count).toBe(6);
    expect(blocks.outlet[0]).toBe(4.5);
    expect(blocks.outlet[2]).toBeNaN();
    expect(blocks.inlet[2]).toBe(14.5);
    expect(blocks.inlet[3]).toBe(34.5);
  });
});
