// Thermometers over time: what counts as stuck, what does not, and what a jump is.

import { describe, expect, it } from "vitest";
import { isStuck } from "../../../daemon/core/protect/conditions/sensors.ts";
import {
  isDoubted,
  isJumping,
  type SensorWatch,
  stillSeconds,
  watchSensor,
} from "../../../daemon/core/protect/sensor-watch.ts";
import { bad, good } from "../../../daemon/core/readings.ts";
import { SETTINGS } from "./fixtures.ts";

const { stuckSeconds } = SETTINGS.alarms;

type Sample = { readonly celsius: number | null; readonly mover?: number };

function over(samples: readonly Sample[], start = 0, from: SensorWatch | null = null): SensorWatch {
  let watch = from;
  samples.forEach(({ celsius, mover }, index) => {
    watch = watchSensor(watch, celsius === null ? bad("NACK") : good(celsius), mover ?? null, start + index);
  });
  return watch!;
}
const still = (count: number, mover: (index: number) => number = () => 20): Sample[] =>
  Array.from({ length: count }, (_, index) => ({ celsius: 25, mover: mover(index) }));
/** The last digit of a 1/16 K chip at work. */
const lively = (count: number): Sample[] =>
  Array.from({ length: count }, (_, index) => ({ celsius: 25 + ((index * 3) % 4) / 16, mover: 20 }));

describe("a number that stands still", () => {
  it("is stuck when what moves it has moved", () => {
    const heated = over(still(400, (index) => 20 + index / 10));
    expect(stillSeconds(heated, 399)).toBe(399);
    expect(isStuck(heated, "outlet", stuckSeconds, 399)).toBe(true);
    expect(isStuck(heated, "inlet", stuckSeconds, 399)).toBe(false);
    const warmed = over(still(700, (index) => 20 + index / 120));
    expect(isStuck(warmed, "inlet", stuckSeconds, 699)).toBe(true);
  });

  it("is not stuck while nothing moved, however long: a constant recording is no fault", () => {
    const watch = over(still(50_000));
    expect(isStuck(watch, "inlet", stuckSeconds, 49_999)).toBe(false);
    expect(isStuck(watch, "outlet", stuckSeconds, 49_999)).toBe(false);
  });

  it("is not stuck in the first minutes, whatever moved", () => {
    expect(isStuck(over(still(100, (index) => index)), "outlet", stuckSeconds, 99)).toBe(false);
  });

  it("is stuck when it has always been lively and has fallen silent", () => {
    const before = over(lively(600));
    const after = over(still(1000), 600, before);
    expect(isStuck(after, "inlet", stuckSeconds, 1400)).toBe(false);
    expect(isStuck(after, "inlet", stuckSeconds, 1599)).toBe(true);
  });

  it.each([
    ["a fine last digit sooner", 1 / 128, 112, 120],
    ["a coarse one later, for it rests through a calm night", 1 / 2, 7199, 7200],
  ])("is found out by %s", (_, stepKelvin, early, late) => {
    const digits = Array.from({ length: 600 }, (_, index) => ({ celsius: 25 + (1 + ((index * 3) % 4)) * stepKelvin }));
    const after = over(still(2), 600, over(digits));
    expect(isStuck(after, "outlet", stuckSeconds, after.changedSeconds + early)).toBe(false);
    expect(isStuck(after, "outlet", stuckSeconds, after.changedSeconds + late)).toBe(true);
  });

  it("goes by the last digit that is left when the finer of two thermometers has died", () => {
    const [fine, coarse] = [128, 2].map((parts) =>
      Array.from({ length: 600 }, (_, at) => ({ celsius: (at % 4) / parts })),
    );
    const after = over(still(2), 1200, over(coarse!, 600, over(fine!)));
    expect(isStuck(after, "outlet", stuckSeconds, after.changedSeconds + stuckSeconds)).toBe(false);
  });

  it("is not stuck when it is slow by nature", () => {
    const slow = Array.from({ length: 40_000 }, (_, index) => ({ celsius: 20 + Math.floor(index / 1000) / 2 }));
    expect(isStuck(over(slow), "inlet", stuckSeconds, 39_999 + 500)).toBe(false);
  });

  it("is no longer stuck when it moves by a single bit", () => {
    const stuck = over(still(400, (index) => 20 + index / 10));
    const moved = over([{ celsius: 25.0625, mover: 60 }], 400, stuck);
    expect(isStuck(moved, "outlet", stuckSeconds, 400)).toBe(false);
  });
});

const hops = (...celsius: number[]): Sample[] => celsius.map((one) => ({ celsius: one }));

describe("a jump", () => {
  it("is a change that no air makes", () => {
    expect(isJumping(over(hops(20, 29)))).toBe(false);
    expect(isJumping(over(hops(20, 31)))).toBe(true);
    expect(isJumping(null)).toBe(false);
  });

  it("is over when the number comes back", () => {
    expect(isJumping(over(hops(20, 60, 20.1)))).toBe(false);
  });

  it("is believed only after it has stayed where it jumped to", () => {
    expect(isJumping(over(hops(20, 60, 60.1, 60, 60.2, 60)))).toBe(true);
    expect(isJumping(over(hops(20, 60, 60.1, 60, 60.2, 60, 60.1)))).toBe(false);
  });

  it("is never believed while it goes on jumping", () => {
    const wild = Array.from({ length: 200 }, (_, index) => ({ celsius: 60 + 20 * ((index * 7) % 5) }));
    expect(isJumping(over([{ celsius: 20 }, ...wild]))).toBe(true);
  });

  it("is allowed for after a gap", () => {
    const before = over(hops(20));
    expect(isJumping(over(hops(44), 60, before))).toBe(false);
  });

  it("fades from memory", () => {
    const jumped = over(hops(20, 40, 20, 40, 20, 40));
    expect(jumped.jumps).toBeGreaterThan(2.9);
    expect(over(lively(3600), 6, jumped).jumps).toBeLessThan(0.1);
  });
});

describe("a missing reading", () => {
  it("changes nothing but the count of dropouts, and a part that is not fitted not even that", () => {
    const watch = over([{ celsius: 20 }]);
    expect(over([{ celsius: null }], 5, watch)).toEqual({ ...watch, dropouts: 1, missing: true, heardSeconds: 5 });
    expect(watchSensor(watch, null, 20, 5)).toBe(watch);
    expect(watchSensor(null, bad("NACK"), 20, 0)).toBeNull();
  });

  it("is one dropout however long it lasts, and a contact that comes and goes makes many", () => {
    const gone = (count: number): Sample[] => Array.from({ length: count }, () => ({ celsius: null }));
    expect(over([{ celsius: 20 }, ...gone(600)]).dropouts).toBeLessThanOrEqual(1);
    const torn = over(Array.from({ length: 120 }, (_, index) => ({ celsius: index % 2 === 0 ? 20 : null })));
    expect(torn.dropouts).toBeGreaterThan(20);
    expect(over(lively(600), 120, torn).dropouts).toBeLessThan(0.1);
  });
});

describe("a number that stays where no air can have taken it", () => {
  const jumped = over([...lively(60), ...Array.from({ length: 10 }, () => ({ celsius: 85 }))]);

  it("is no jump any more after some seconds, but doubted for ten minutes", () => {
    expect(isJumping(over([...lively(60), { celsius: 85 }]))).toBe(true);
    expect(isJumping(jumped)).toBe(false);
    expect(isDoubted(jumped, 69)).toBe(true);
    expect(isDoubted(jumped, 65 + 599)).toBe(true);
    expect(isDoubted(jumped, 65 + 601)).toBe(false);
  });

  it("has to stay where it was before it is believed again, when it has jumped about", () => {
    const about = [60, 25, 90, 25, 110, 25.2, 40].map((celsius) => ({ celsius }));
    const restless = over([...lively(60), ...about]);
    expect(isJumping(over([{ celsius: 25.1 }], 67, restless))).toBe(true);
    const calm = over(lively(8), 67, restless);
    expect(isJumping(calm)).toBe(false);
    expect(isDoubted(calm, 75)).toBe(false);
  });

  it("is doubted on its own also after a long silence", () => {
    const silent = Array.from({ length: 60 }, () => ({ celsius: null }));
    expect(isJumping(over([...lively(60), ...silent, { celsius: 90 }]))).toBe(true);
    expect(isJumping(over([...lively(60), ...silent, { celsius: 45 }]))).toBe(false);
  });

  it("is not taken for true by two strays with missing readings between them", () => {
    const missing = Array.from({ length: 6 }, () => ({ celsius: null }));
    const strayed = over([...lively(60), { celsius: 90 }, ...missing, { celsius: 91 }]);
    expect(isJumping(strayed)).toBe(true);
    expect(isDoubted(strayed, 68)).toBe(false);
  });

  it("is not doubted when it came back at once, nor when it never left", () => {
    const back = over([...lively(60), { celsius: 85 }, { celsius: 85 }, { celsius: 25 }]);
    expect(isDoubted(back, 62)).toBe(false);
    expect(isDoubted(over(lively(60)), 60)).toBe(false);
    expect(isDoubted(null, 60)).toBe(false);
  });
});
