// One sweep: everything in parallel, every failure a code, nothing asked twice while it hangs, errors counted by transmission.

import { describe, expect, it } from "vitest";
import { combine } from "../../daemon/combine.ts";
import { bad, good, suspect } from "../../daemon/core/readings.ts";
import { fixedRig, type Rig } from "../../daemon/station/rig.ts";
import { Sweep } from "../../daemon/sweep.ts";
import { HardwareError } from "../../hardware/errors.ts";
import { HandHardware } from "../support/hand-hardware.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { USUAL_DRIVE } from "../support/usual-drive.ts";

function sweepOf(hand: HandHardware, rig: Rig = fixedRig(null, null)) {
  const clock = new ManualClock();
  const hardware = hand.as(clock);
  return { clock, hardware, sweep: new Sweep({ hardware, drive: USUAL_DRIVE, rig, clock }) };
}

/** Lets whatever waits for a promise go on. */
async function turns(): Promise<void> {
  for (let turn = 0; turn < 20; turn += 1) await Promise.resolve();
}

describe("a sweep", () => {
  it("reads every part; what is not fitted is null", async () => {
    const { sweep } = sweepOf(new HandHardware());
    expect(await sweep.read()).toMatchObject({
      inlet: good(20),
      outlet: good(26),
      wall: null,
      drive: null,
      supplyVolts: null,
      fan: { rpm: good(11_000) },
      relay: { reduce: false, inhibit: false },
    });
  });

  it("turns a driver's error into its code, and another error into IO", async () => {
    const hand = new HandHardware();
    hand.temperatures.set("inlet", () => Promise.reject(new HardwareError("NACK", "i2c-1 0x48")));
    hand.temperatures.set("outlet", () => Promise.reject(new TypeError("a bug in a driver")));
    hand.rpm = () => Promise.resolve(null);
    const swept = await sweepOf(hand).sweep.read();
    expect(swept).toMatchObject({ inlet: bad("NACK"), outlet: bad("IO"), fan: { rpm: bad("IRREGULAR") } });
  });

  it("never passes on a number that is none", async () => {
    const hand = new HandHardware();
    hand.temperatures.set("inlet", () => Promise.resolve(Number.NaN));
    expect((await sweepOf(hand).sweep.read()).inlet).toEqual(bad("OUT_OF_RANGE"));
  });

  it("does not wait for a part that hangs, nor ask it again before it answered", async () => {
    const hand = new HandHardware();
    let answer: (celsius: number) => void = () => {};
    hand.temperatures.set("outlet", () => new Promise((resolve) => (answer = resolve)));
    const { clock, sweep } = sweepOf(hand);
    for (let round = 0; round < 3; round += 1) {
      const reading = sweep.read();
      await turns();
      clock.advance(1);
      expect(await reading).toMatchObject({ inlet: good(20), outlet: bad("TIMEOUT") });
    }
    // Three times the inlet, once the outlet.
    expect(hand.reads).toBe(4);
    answer(27);
    hand.temperatures.set("outlet", () => Promise.resolve(28));
    await turns();
    expect((await sweep.read()).outlet).toEqual(good(28));
  });

  it("counts errors by sensor and code, receiving and transmitting apart", async () => {
    const hand = new HandHardware();
    let transmitting = false;
    const rig: Rig = () => ({ ...fixedRig(7e6, "CW")(), transmitting, ageSeconds: 0 });
    const { sweep } = sweepOf(hand, rig);
    hand.temperatures.set("inlet", () => Promise.reject(new HardwareError("CRC", "i2c-1 0x44")));
    await sweep.read();
    transmitting = true;
    await sweep.read();
    await sweep.read();
    expect(sweep.errors).toEqual([{ name: "inlet", code: "CRC", receiving: 2, transmitting: 1 }]);
    expect(sweep.totals).toEqual({ receiving: 2, transmitting: 1 });
  });

  it("knows the shack's frequency also where no detector is fitted", async () => {
    const { sweep } = sweepOf(new HandHardware(), fixedRig(3.6e6, "SSB"));
    expect((await sweep.read()).drive).toEqual({
      watts: bad("NOT_FITTED"),
      frequencyHertz: 3.6e6,
      mode: "SSB",
      transmitting: null,
    });
  });
});

describe("several thermometers in one role", () => {
  it.each([
    ["none", [], null],
    ["one", [suspect(20, "CRC")], suspect(20, "CRC")],
    ["the mean", [good(20), good(21)], good(20.5)],
    ["a bad one left out", [bad("NACK"), good(21)], good(21)],
    ["a suspect one left out", [suspect(30, "STUCK"), good(21)], good(21)],
    ["only suspect ones", [suspect(20, "STUCK"), suspect(22, "STUCK")], suspect(21, "STUCK")],
    ["all bad", [bad("NACK"), bad("CRC")], bad("NACK")],
  ] as const)("%s", (_, readings, combined) => {
    expect(combine(readings, "inlet")).toEqual(combined);
  });

  it.each([
    ["inlet", 20],
    ["ambient", 20],
    ["outlet", 26],
    ["wall", 26],
    ["core", 26],
  ] as const)("that are not both right: at the %s the one counts that makes the core hotter", (role, celsius) => {
    expect(combine([good(20), good(26)], role)).toEqual(suspect(celsius, "DISAGREE"));
  });

  it("on the core the hottest counts", () => {
    expect(combine([good(60), good(62)], "core")).toEqual(good(62));
  });
});
