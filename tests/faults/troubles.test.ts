// Faults of every kind, alone and together, on hot evenings with a careless operator who resets, bypasses and shelves whatever
// he can. Judged by the simulation's truth in every cycle, and by the record at the end.

import { afterAll, expect, it } from "vitest";
import type { Action } from "../../daemon/core/commands.ts";
import type { Truth } from "../../hardware/simulated/feedpoint.ts";
import { type Random, seededRandom } from "../../hardware/simulated/random.ts";
import { type Drawn, drawFaults, KINDS } from "./campaign/draw.ts";
import { Invariants } from "./campaign/invariants.ts";
import { drawnScene } from "./campaign/scenes.ts";
import { SEED, sized } from "./campaign/size.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const TRIALS = sized(1, 8) * KINDS.length;
const LASTS_SECONDS = sized(150, 400);

const tally = new Tally("troubles at the feedpoint");
let worstOverSeconds = 0;
let cyclesAtFull = 0;
let hottestCelsius = Number.NEGATIVE_INFINITY;
afterAll(() => {
  tally.print();
  process.stdout.write(
    `  ${cyclesAtFull} cycles at full stage, hottest toroid ${hottestCelsius.toFixed(1)} °C, ` +
      `longest above the limit at full stage ${worstOverSeconds.toFixed(1)} s (seed ${SEED})\n`,
  );
});

/** What a careless operator asks for next; his core readings are as good as an infrared thermometer's, or plainly impossible. */
function carelessAsk(random: Random, { hottestToroidCelsius, inletCelsius }: Truth): Action {
  const honest = hottestToroidCelsius + random.between(-4, 2);
  const celsius = random.unit() < 0.5 ? honest : inletCelsius - random.between(12, 60);
  const asks: readonly Action[] = [
    { kind: "reset" },
    { kind: "reset" },
    { kind: "bypass", seconds: random.between(10, 60), comment: "one more contact" },
    { kind: "shelve", tag: "fan_stall", seconds: 600 },
    { kind: "acknowledge", tag: "core_high" },
    { kind: "fan replaced" },
    { kind: "proof test", step: "begin" },
    { kind: "spot reading", celsius, secondsAgo: 0 },
    { kind: "end bypass" },
  ];
  return asks[random.below(asks.length)]!;
}

/** Faults that held long enough, and of which the record says nothing. */
function untold(trial: Trial, drawn: readonly Drawn[], tags: ReadonlySet<string>): string[] {
  const end = trial.board.elapsedSeconds();
  return drawn
    .filter(({ fault, tags: promised, afterSeconds }) => {
      const held = Math.min(end, fault.endSeconds ?? end) - fault.startSeconds;
      return promised.length > 0 && held > afterSeconds && !promised.some((tag) => tags.has(tag));
    })
    .map(({ fault }) => `nothing in the record tells of ${JSON.stringify(fault)}`);
}

async function trialOf(index: number): Promise<void> {
  const random = seededRandom(SEED).fork(`trial ${index}`);
  const drawn = drawFaults(random, index, LASTS_SECONDS);
  const faults = drawn.map(({ fault }) => fault);
  const trial = await Trial.open({ scenario: drawnScene(SEED * 1000 + index), seed: index, faults });
  const invariants = new Invariants(trial);
  for (let past = 0; past < LASTS_SECONDS; past += 10) {
    if (random.unit() < 0.5) trial.ask(carelessAsk(random, trial.board.truth()));
    await trial.run(10, invariants.look);
  }
  const tags = new Set(invariants.entries.map(({ tag }) => tag));
  const wrongs = [...invariants.wrongs, ...untold(trial, drawn, tags)];
  await trial.close();
  cyclesAtFull += invariants.cyclesAtFull;
  hottestCelsius = Math.max(hottestCelsius, invariants.hottestCelsius);
  worstOverSeconds = Math.max(worstOverSeconds, invariants.overSeconds);
  tally.count(`trial ${index} ${JSON.stringify(faults)}`, faults.length, wrongs, invariants.cycles);
}

it("never a hot core at full power, no line on a stale estimate, no false reading, and the record tells", async () => {
  for (let index = 0; index < TRIALS; index += 1) await trialOf(index);
  expect(tally.wrongs).toEqual([]);
  expect(tally.injected).toBeGreaterThanOrEqual(TRIALS);
}, 240_000);
