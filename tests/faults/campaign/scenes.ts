// The evenings on which the campaign's faults strike: a hot transformer at work, so that what goes wrong matters. Drawn from a
// seed; figures only.

import { frequencyIn } from "../../../hardware/simulated/bands.ts";
import type { OperatingPattern } from "../../../hardware/simulated/pattern.ts";
import { drawPlant } from "../../../hardware/simulated/plant.ts";
import { seededRandom } from "../../../hardware/simulated/random.ts";
import { demoScenario, type Scenario } from "../../../hardware/simulated/scenario.ts";
import { onOff, playOvers } from "../../hardware/simulated/overs.ts";

const START_OF_DAY_SECONDS = 20 * 3600;
const PREROLL_SECONDS = 900;
const LASTS_SECONDS = 4 * 3600;

function patternOf(watts: number, onSeconds: number, offSeconds: number, seed: number): OperatingPattern {
  const startSeconds = START_OF_DAY_SECONDS - PREROLL_SECONDS;
  const frequencyHertz = frequencyIn("80 m", 0.3);
  return playOvers(onOff({ startSeconds, seconds: LASTS_SECONDS, onSeconds, offSeconds, watts, frequencyHertz }), seed);
}

/** Always the same: half of the time at 1300 W on 80 m. */
export function plainScene(): Scenario {
  return {
    ...demoScenario(1),
    pattern: patternOf(1300, 15, 15, 1),
    startOfDaySeconds: START_OF_DAY_SECONDS,
    prerollSeconds: PREROLL_SECONDS,
  };
}

/** Another box, another operator and another evening for each seed; some too hot to stay at full power. */
export function drawnScene(seed: number): Scenario {
  const random = seededRandom(seed).fork("scene");
  const demo = demoScenario(seed);
  const onSeconds = random.between(5, 60);
  return {
    ...demo,
    plant: drawPlant(random.fork("plant")),
    climate: { ...demo.climate, meanCelsius: random.between(-5, 38) },
    pattern: patternOf(random.between(700, 1500), onSeconds, onSeconds * random.between(0.02, 1), seed),
    startOfDaySeconds: START_OF_DAY_SECONDS,
    prerollSeconds: PREROLL_SECONDS,
  };
}
