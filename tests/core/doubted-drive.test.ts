// A detector or meter that reads half the true power, on boxes and cases of the bench: the bound still covers the hottest toroid.

import { beforeAll, describe, expect, it } from "vitest";
import { advanceEstimator, beginEstimator, reportEstimate } from "../../daemon/core/estimate/estimator.ts";
import type { Model } from "../../daemon/core/estimate/model.ts";
import { DEFAULT_PROTECTION } from "../../daemon/core/protect/settings.ts";
import { bad, good, type Reading, suspect } from "../../daemon/core/readings.ts";
import { beginState, defineProgram, step } from "../../daemon/core/step.ts";
import { BENCH_AIR_CELSIUS, calibratedModel, drawBox, priorModel, tableFractions } from "../bench/estimator-box.ts";
import { CASES } from "../bench/estimator-cases.ts";
import { inputAt, LIMIT_CELSIUS, NOMINAL_RPM, type Played, play } from "../bench/estimator-run.ts";
import { FAN, READINGS } from "./protect/fixtures.ts";

/** The box whose bound a meter that was trusted broke most often, and a case where it did. */
const SEED = 9;
const LOST_SECONDS = 600;

let model: Model;
let played: Played;

beforeAll(() => {
  const fractions = tableFractions();
  const box = drawBox(SEED);
  model = calibratedModel(priorModel(fractions), box, fractions);
  const contest = CASES.find(({ name }) => name.startsWith("contest"))!;
  played = play(box.plant, { ...contest, seconds: 3600 }, fractions, BENCH_AIR_CELSIUS, box.random.fork(contest.name));
});

/** Share of the seconds in which the bound lay over the hottest toroid. */
function held(upperAt: (second: number) => number): number {
  let seconds = 0;
  for (let second = 1; second < played.seconds; second++) if (upperAt(second) >= played.hottest[second]!) seconds++;
  return seconds / (played.seconds - 1);
}

describe("a drive that is half the true one", () => {
  it("is covered by the filter that knows no drive, when it is called suspect", () => {
    const at = (second: number, doubt: (watts: number) => Reading) => {
      const input = inputAt(played, second, true);
      return { ...input, drive: { ...input.drive!, watts: doubt(0.5 * played.driveWatts[second]!) } };
    };
    const bounds = (doubt: (watts: number) => Reading): number => {
      let state = beginEstimator(model, at(0, doubt), null);
      return held((second) => {
        state = advanceEstimator(model, state, at(second, doubt));
        return reportEstimate(model, state, { limitCelsius: LIMIT_CELSIUS }).coreUpperCelsius;
      });
    };
    expect(bounds((watts) => suspect(watts, "INDIRECT"))).toBe(1);
    expect(bounds(good)).toBeLessThan(1);
  });

  it("is covered without an outlet too, while a second witness says more", () => {
    const program = defineProgram(model, {
      ...DEFAULT_PROTECTION,
      fan: { ...DEFAULT_PROTECTION.fan, nominalRpm: NOMINAL_RPM },
    });
    const bounds = (powerRatio: number | null): number => {
      let state = beginState(program, null, 0);
      return held((second) => {
        const watts = played.driveWatts[second]!;
        const readings = {
          ...READINGS,
          inlet: good(played.inlet[second]!),
          outlet: second > LOST_SECONDS ? bad("NACK") : good(played.outlet[second]!),
          wall: null,
          ambient: null,
          fan: { ...FAN, rpm: good(played.rpm[second]!) },
          drive: {
            watts: good(watts / 2),
            frequencyHertz: played.frequencyHertz[second]!,
            mode: "CW",
            transmitting: watts > 0,
          },
          driveEvidence: {
            ...READINGS.driveEvidence,
            powerRatio,
            sources: [
              { name: "detector", watts: good(watts / 2), transmitting: watts > 0 },
              { name: "rig meter", watts: suspect(watts, "INDIRECT"), transmitting: null },
            ],
          },
        } as const;
        const cycle = step(program, state, readings, [], second);
        state = cycle.state;
        return cycle.effects.outlook.estimate.coreUpperCelsius;
      });
    };
    expect(bounds(2)).toBeGreaterThanOrEqual(0.99);
    // Believed at its word, such a detector reads the core cold once nothing else speaks: this test can fail.
    expect(bounds(null)).toBeLessThan(0.6);
  });
});
