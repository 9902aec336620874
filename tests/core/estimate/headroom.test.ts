// Forecasts against what then happens: headroom, the level below the limit and the sustainable drive.

import { describe, expect, it } from "vitest";
import { upperAt, viewOf } from "../../../daemon/core/estimate/bound.ts";
import { headroomOf, sustainableLossWatts } from "../../../daemon/core/estimate/headroom.ts";
import { DRIVEN } from "../../../daemon/core/estimate/state.ts";
import { beginScene, LIMITS, MODEL, playOn, type Scene } from "./scene.ts";

const idle = playOn(beginScene(), 1200, { watts: 0 });
const LIMIT = LIMITS.limitCelsius;

describe("headroom", () => {
  it("counts down to the second in which the bound reaches the limit", () => {
    let scene: Scene = playOn(idle, 30, { watts: 1600 });
    const promises: { at: number; seconds: number }[] = [];
    while (scene.estimate.headroom.kind !== "at limit" && scene.seconds < idle.seconds + 3600) {
      if (scene.estimate.headroom.kind === "reaches limit") {
        promises.push({ at: scene.seconds, seconds: scene.estimate.headroom.seconds });
      }
      scene = playOn(scene, 10, { watts: 1600 });
    }
    expect(scene.estimate.headroom.kind).toBe("at limit");
    const early = promises.filter(({ at }) => scene.seconds - at > 120);
    expect(early.length).toBeGreaterThan(10);
    for (const { at, seconds } of early) {
      const remaining = scene.seconds - at;
      expect(Math.abs(seconds - remaining) / remaining, `${remaining} s before`).toBeLessThan(0.15);
    }
  });

  it("names the level at which a bearable pace settles", () => {
    const early = playOn(idle, 120, { watts: 600 });
    const late = playOn(early, 5400, { watts: 600 });
    const promised = early.estimate.headroom;
    if (promised.kind !== "levels off") throw new Error(`expected a level, got ${promised.kind}`);
    expect(promised.levelCelsius).toBeLessThan(LIMIT);
    expect(Math.abs(promised.levelCelsius - late.estimate.coreUpperCelsius)).toBeLessThan(3);
  });

  it("goes by the average of an operator who listens half of the time", () => {
    const shared = playOn(idle, 1500, (second) => ({ watts: second % 30 < 15 ? 1200 : 0 }));
    const steady = playOn(idle, 1500, { watts: 600 });
    const [a, b] = [shared.estimate.headroom, steady.estimate.headroom];
    if (a.kind !== "levels off" || b.kind !== "levels off")
      throw new Error(`expected levels, got ${a.kind}, ${b.kind}`);
    expect(Math.abs(a.levelCelsius - b.levelCelsius)).toBeLessThan(4);
  });

  it("says of a fresh start in a pause that the pace is not known, never that the core levels off", () => {
    const keyed = (second: number) => ({ watts: second % 30 < 15 ? 1200 : 0 });
    let scene = beginScene();
    const kinds = new Set<string>();
    while (scene.seconds < 119) {
      // It begins with 15 s of listening, so an average over what was heard so far would read low.
      scene = playOn(scene, 1, (second) => keyed(second + 15));
      kinds.add(scene.estimate.headroom.kind);
    }
    // Keyed, it warns by what a carrier of this strength would do; listening, it says nothing.
    expect([...kinds]).toEqual(["unknown", "reaches limit"]);
    const steady = playOn(scene, 1500, (second) => keyed(second + 15)).estimate.headroom;
    const first = playOn(scene, 1, keyed(134)).estimate.headroom;
    if (first.kind !== "levels off" || steady.kind !== "levels off") throw new Error(`${first.kind}, ${steady.kind}`);
    expect(Math.abs(first.levelCelsius - steady.levelCelsius)).toBeLessThan(5);
  });

  it("warns from the first seconds on, by the heat now where an average would soothe", () => {
    const started = playOn(beginScene({ coreCelsius: 60, wallCelsius: 30 }), 20, { watts: 0 });
    const keyed = playOn(started, 20, { watts: 3000 });
    const established = playOn(playOn(beginScene({ coreCelsius: 60, wallCelsius: 30 }), 240, { watts: 0 }), 20, {
      watts: 3000,
    });
    const [young, old] = [keyed.estimate.headroom, established.estimate.headroom];
    if (young.kind !== "reaches limit" || old.kind !== "reaches limit") throw new Error(`${young.kind}, ${old.kind}`);
    expect(young.seconds).toBeLessThan(1.2 * old.seconds);
  });

  it("begins anew after a pause", () => {
    const rested = playOn(playOn(idle, 600, { watts: 1600 }), 120, { watts: 0 });
    expect(rested.estimate.headroom.kind).toBe("levels off");
  });

  it("is at the limit when the bound is there already", () => {
    const view = viewOf(MODEL, idle.state, DRIVEN);
    expect(headroomOf(view, 50, view.coreCelsius).kind).toBe("at limit");
  });
});

describe("sustainable drive", () => {
  it("held for hours brings the bound to the limit", () => {
    const warm = playOn(idle, 600, { watts: 800 });
    const sustainable = warm.estimate.sustainableWatts;
    expect(sustainable).toBeGreaterThan(600);
    const settled = playOn(warm, 9000, { watts: sustainable ?? 0 });
    const driven = viewOf(MODEL, settled.state, DRIVEN);
    const bound = upperAt(driven, driven.coreCelsius, driven.boreHeatWatts);
    expect(Math.abs(bound - LIMIT)).toBeLessThan(3);
  });

  it("is less in warmer air and with closing vents", () => {
    const watts = (scene: Scene): number => scene.estimate.sustainableWatts ?? Number.NaN;
    const cool = playOn(idle, 1800, { watts: 800 });
    const warmAir = playOn(idle, 1800, { watts: 800, inlet: 35 });
    const blocked = playOn(idle, 1800, { watts: 800, flowFactor: 0.6 });
    expect(watts(warmAir)).toBeLessThan(watts(cool) - 100);
    expect(watts(blocked)).toBeLessThan(watts(cool) - 100);
  });

  it("is nothing where the limit lies below the air", () => {
    expect(sustainableLossWatts(viewOf(MODEL, idle.state, DRIVEN), 10)).toBe(0);
  });

  it("is not said while the band is not known", () => {
    const astray = playOn(idle, 10, { watts: 500 }, (input) => ({
      ...input,
      drive: input.drive === null ? null : { ...input.drive, frequencyHertz: 5.3e6 },
    }));
    expect(astray.estimate.sustainableWatts).toBeNull();
    expect(
      playOn(idle, 10, { watts: 500 }, (input) => ({ ...input, drive: null })).estimate.sustainableWatts,
    ).toBeNull();
  });
});
