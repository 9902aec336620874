// The warm finger: which rises count, and what is seen on simulated chips that one, two or nobody touches.

import { describe, expect, it } from "vitest";
import { judgeWarming, restingCelsius, watchWarming } from "../../daemon/setup/finger.ts";
import type { Fault } from "../../hardware/simulated/faults.ts";
import { openThermometers, surveyBoard, thermometersOf } from "../../hardware/survey.ts";
import { shed, WIRING } from "../hardware/simulated/shed.ts";

describe("rises", () => {
  it.each([
    [[0.1, 2.4, 0.3], { kind: "one", index: 1, kelvin: 2.4 }],
    [[0.1, 1.4, 0.3], { kind: "none", mostKelvin: 1.4 }],
    [[2, 2.4, 0.3], { kind: "several", indexes: [1, 0] }],
    [[-3, null, 3], { kind: "one", index: 2, kelvin: 3 }],
    [[-3, -2], { kind: "none", mostKelvin: 0 }],
    [[null, null], { kind: "none", mostKelvin: 0 }],
    [[], { kind: "none", mostKelvin: 0 }],
  ])("of %j mean %j", (rises, meaning) => {
    expect(judgeWarming(rises)).toEqual(meaning);
  });
});

async function watched(touched: readonly string[], more: readonly Fault[] = []) {
  const { base, board } = shed({ spec: WIRING, faults: more });
  await base.advanceAsync(2);
  const found = thermometersOf(await base.settle(surveyBoard(board)));
  const { sensors, close } = openThermometers(board, found);
  const resting = await base.settle(restingCelsius(sensors, board.clock));
  const startSeconds = board.elapsedSeconds();
  for (const part of touched) {
    board.faults.add({ kind: "chip offset", part, kelvin: 0, kelvinPerHour: 1800, startSeconds, endSeconds: null });
  }
  const warming = await base.settle(watchWarming(sensors, resting, board.clock, 20));
  await close();
  return { warming, place: (index: number) => found[index]?.place, seconds: board.elapsedSeconds() - startSeconds };
}

describe("on simulated chips", () => {
  it.each([
    ["inlet", "i2c-1 0x48"],
    ["outlet", "i2c-1 0x49"],
    ["wall", "/sys/class/hwmon/hwmon0/temp1_input"],
    ["core", "/sys/bus/w1/devices/28-00000a1b2c3d"],
  ])("the %s is found long before the time is over", async (name, at) => {
    const { warming, place, seconds } = await watched([name]);
    expect(warming.kind).toBe("one");
    expect(warming.kind === "one" && place(warming.index)).toBe(at);
    expect(seconds).toBeLessThan(15);
  });

  it("nobody's finger is none, at the end of the time", async () => {
    const { warming, seconds } = await watched([]);
    expect(warming.kind).toBe("none");
    expect(seconds).toBeGreaterThanOrEqual(20);
  });

  it("two fingers are two", async () => {
    const { warming, place } = await watched(["inlet", "outlet"]);
    expect(warming.kind === "several" && warming.indexes.map(place).toSorted()).toEqual(["i2c-1 0x48", "i2c-1 0x49"]);
  });

  it("a chip that is silent meanwhile does not stand in the way", async () => {
    const silent: Fault = { kind: "chip silent", part: "outlet", startSeconds: 3, endSeconds: null };
    expect((await watched(["inlet"], [silent])).warming.kind).toBe("one");
  });
});
