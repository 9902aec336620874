// Prints for which parameters two observations of the trade (common practice, no source) hold together: a seeded Monte Carlo.
// It asserts nothing; tests/reference/trade-observations.test.ts holds the conclusion.
import { seededRandom } from "../../hardware/simulated/random.ts";
import { behaviour, type Draw, drawBox, RANGES, shutHolds, ventedHolds } from "./trade-box.ts";

const DRAWS = 10_000;
const CASES = [
  { turns: 2, operation: "key-down" },
  { turns: 2, operation: "keyed" },
  { turns: 3, operation: "key-down" },
  { turns: 3, operation: "keyed" },
  { turns: 4, operation: "key-down" },
] as const;

function quantile(sorted: readonly number[], share: number): string {
  const value = sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return value === undefined ? "–" : value.toPrecision(3);
}

const say = (line: string): void => void process.stdout.write(`${line}\n`);

say(`${DRAWS} draws a case, seed 1. Vented: settles below the Curie point, outlet 22 to 29 °F over outside at 1500 W.`);
say("Shut: good for 600 to 800 W of CW on 80 m without fan. Common practice, no source.\n");
for (const { turns, operation } of CASES) {
  const random = seededRandom(1);
  const both: Draw[] = [];
  let vented = 0;
  let shut = 0;
  let runaway = 0;
  for (let index = 0; index < DRAWS; index++) {
    const draw = drawBox(random);
    const seen = behaviour(draw, turns, operation === "keyed" ? draw.morseDuty : 1);
    if (seen.coreCelsius === null) runaway += 1;
    if (ventedHolds(seen)) vented += 1;
    if (shutHolds(seen)) shut += 1;
    if (ventedHolds(seen) && shutHolds(seen)) both.push(draw);
  }
  const share = (count: number): string => `${((100 * count) / DRAWS).toFixed(1)} %`;
  say(
    `${turns} turns, ${operation}: runs away ${share(runaway)}, vented holds ${share(vented)}, shut holds ${share(shut)}, both ${share(both.length)}`,
  );
  if (both.length < 20) continue;
  say("  quantity              drawn from      both hold (5 % · median · 95 %)");
  for (const [name, [low, high, why]] of Object.entries(RANGES)) {
    const sorted = both.map((draw) => draw[name as keyof Draw]).sort((a, b) => a - b);
    const kept = [0.05, 0.5, 0.95].map((at) => quantile(sorted, at)).join(" · ");
    say(`  ${name.padEnd(21)} ${`${low} to ${high}`.padEnd(15)} ${kept.padEnd(24)} ${why}`);
  }
  say("");
}
