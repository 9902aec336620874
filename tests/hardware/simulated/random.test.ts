// The simulation's generator against the published algorithm, and its deviates against their own statistics.
import { describe, expect, it } from "vitest";
import { noiseAt, randomFromState, seededRandom } from "../../../hardware/simulated/random.ts";

describe("the generator", () => {
  it("gives the known first outputs of xoshiro128** 1.1 from the state 1, 2, 3, 4", () => {
    // Outputs of the authors' xoshiro128starstar.c as recorded in the tests of the Rust crate rand_xoshiro.
    const random = randomFromState(1, 2, 3, 4);
    const outputs = Array.from({ length: 10 }, () => random.bits());
    expect(outputs).toEqual([
      11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804,
    ]);
  });

  it("refuses a state that would never leave zero", () => {
    expect(() => randomFromState(0, 0, 0, 0)).toThrow(RangeError);
  });

  it("repeats itself for one seed and not for the next", () => {
    const first = seededRandom(7);
    const again = seededRandom(7);
    const other = seededRandom(8);
    const run = (random: ReturnType<typeof seededRandom>) => Array.from({ length: 20 }, () => random.unit());
    const values = run(first);
    expect(run(again)).toEqual(values);
    expect(run(other)).not.toEqual(values);
  });

  it("draws normal deviates with mean 0, variance 1 and 4.55 % beyond two sigma", () => {
    const random = seededRandom(1);
    const count = 50_000;
    let sum = 0;
    let squares = 0;
    let beyond = 0;
    for (let draw = 0; draw < count; draw += 1) {
      const deviate = random.normal();
      sum += deviate;
      squares += deviate * deviate;
      if (Math.abs(deviate) > 2) beyond += 1;
    }
    // Five standard errors each.
    expect(Math.abs(sum / count)).toBeLessThan(5 / Math.sqrt(count));
    expect(Math.abs(squares / count - 1)).toBeLessThan(5 * Math.sqrt(2 / count));
    expect(Math.abs(beyond / count - 0.0455)).toBeLessThan(5 * Math.sqrt((0.0455 * 0.9545) / count));
  });

  it("forks generators that do not disturb each other", () => {
    const whole = seededRandom(3).fork("weather");
    const parent = seededRandom(3);
    const child = parent.fork("weather");
    parent.unit();
    expect(child.unit()).toBe(whole.unit());
    expect(seededRandom(3).fork("fan").unit()).not.toBe(seededRandom(3).fork("weather").unit());
  });

  it("spreads integers evenly and stays below the count", () => {
    const random = seededRandom(12);
    const hits = new Array<number>(6).fill(0);
    for (let draw = 0; draw < 12_000; draw += 1) hits[random.below(6)]! += 1;
    for (const hit of hits) expect(Math.abs(hit - 2000)).toBeLessThan(5 * Math.sqrt(12_000 * (1 / 6) * (5 / 6)));
  });

  it("answers the same noise for one seed and index, uncorrelated between neighbours", () => {
    expect(noiseAt(5, 1000)).toBe(noiseAt(5, 1000));
    const count = 20_000;
    let product = 0;
    for (let index = 0; index < count; index += 1) product += (noiseAt(5, index) - 0.5) * (noiseAt(5, index + 1) - 0.5);
    expect(Math.abs(product / count) * 12).toBeLessThan(5 / Math.sqrt(count));
  });
});
