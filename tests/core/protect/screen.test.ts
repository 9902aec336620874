// The gate before the filters: nothing impossible passes, nothing possible is touched.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { screenBehaviour, screenRange } from "../../../daemon/core/protect/screen.ts";
import { bad, good, type Reading, suspect } from "../../../daemon/core/readings.ts";
import { FAN, READINGS } from "./fixtures.ts";

// The same histories every time: a failure is found once and then for everybody.
fc.configureGlobal({ seed: 8373 });

describe("the range", () => {
  it("hands back the same object when nothing is impossible", () => {
    expect(screenRange(READINGS)).toBe(READINGS);
  });

  it.each(["inlet", "outlet", "wall", "ambient", "core", "humidityRatio", "supplyVolts", "supplyAmperes"] as const)(
    "takes what is no number from %s",
    (name) => {
      for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e9, -1e9]) {
        expect(screenRange({ ...READINGS, [name]: good(value) })[name]).toEqual(bad("OUT_OF_RANGE"));
      }
    },
  );

  it("takes it from drive and fan without losing what else they say", () => {
    const drive = { watts: good(Number.NaN), frequencyHertz: 7e6, mode: "CW", transmitting: true };
    const screened = screenRange({ ...READINGS, drive, fan: { ...FAN, rpm: good(Number.POSITIVE_INFINITY) } });
    expect(screened.drive).toEqual({ ...drive, watts: bad("OUT_OF_RANGE") });
    expect(screened.fan).toEqual({ ...FAN, rpm: bad("OUT_OF_RANGE") });
  });

  it("lets nothing through that is not finite", () => {
    const reading = fc.oneof(
      fc.double().map(good),
      fc.double().map((value): Reading => suspect(value, "JUMP")),
    );
    fc.assert(
      fc.property(reading, reading, reading, (inlet, outlet, core) => {
        const screened = screenRange({ ...READINGS, inlet, outlet, core });
        for (const one of [screened.inlet, screened.outlet, screened.core]) {
          expect(one?.value === null || Number.isFinite(one?.value)).toBe(true);
        }
      }),
    );
  });
});

describe("the behaviour", () => {
  it("hands back the same object when nothing behaves badly", () => {
    expect(screenBehaviour(READINGS, false, false, false, false)).toBe(READINGS);
  });

  it("takes a stuck reading away and doubts a jumping one", () => {
    expect(screenBehaviour(READINGS, true, false, false, true)).toMatchObject({
      inlet: bad("STUCK"),
      outlet: suspect(20.4, "JUMP"),
    });
  });

  it("leaves a bad reading its own code", () => {
    const lost = { ...READINGS, outlet: bad("NACK") };
    expect(screenBehaviour(lost, false, false, true, true).outlet).toEqual(bad("NACK"));
  });
});
