// What the drawing says: each number with how far to believe it. A bad reading has no number at all, whatever came before.

import { describe, expect, it } from "vitest";
import { HARDWARE_ERRORS } from "../../hardware/errors.ts";
import { readouts, spokenDrawing } from "../../web/cutaway/readout.ts";
import { SHEETS, type Spot } from "../../web/cutaway/sheet.ts";
import { figuresFor } from "../../web/figures.ts";
import { DEFAULT_PREFERENCES } from "../../web/preferences.ts";
import { bad, estimated, frameWith, good, suspect } from "./frames.ts";

const figures = figuresFor(DEFAULT_PREFERENCES, "en-GB");
const of = (frame: Parameters<typeof readouts>[0], spot: Spot) =>
  readouts(frame, figures).find((readout) => readout.spot === spot);

describe("the drawing's numbers", () => {
  it("show only what is fitted or estimated", () => {
    const spots = readouts(frameWith(), figures).map(({ spot }) => spot);
    expect(spots).toEqual(["inlet", "core", "outlet", "fan", "drive"]);
  });

  it("have no number where the reading is bad, and say why", () => {
    const inlet = of(frameWith({ quantities: { inlet_celsius: bad("NACK") } }), "inlet");
    expect(inlet).toMatchObject({ figure: null, quality: "bad", why: "does not answer" });
    const codes = [
      ...Object.keys(HARDWARE_ERRORS),
      ...["NOT_FITTED", "INDIRECT", "STUCK", "JUMP", "JUMPED", "EXCHANGED", "DISAGREE"],
    ];
    for (const code of codes) {
      const why = of(frameWith({ quantities: { inlet_celsius: bad(code) } }), "inlet")?.why;
      expect(why, code).toMatch(/^[a-z]/);
    }
    // Even a bad quantity that carries a number must not show it.
    const frozen = { value: 18.4, quality: "bad", code: "CRC" } as const;
    expect(of(frameWith({ quantities: { inlet_celsius: frozen } }), "inlet")?.figure).toBeNull();
  });

  it("tell a missing estimate from a broken sensor", () => {
    expect(of(frameWith({ quantities: { core_celsius: estimated(null) } }), "core")).toMatchObject({
      figure: null,
      quality: "bad",
      why: "no estimate",
    });
  });

  it("show a suspect number with its reason, and an unknown code as it is", () => {
    const outlet = of(frameWith({ quantities: { outlet_celsius: suspect(31.2, "CRC") } }), "outlet");
    expect(outlet).toMatchObject({ figure: { number: "31.2", unit: "°C" }, quality: "suspect", why: "checksum wrong" });
    expect(of(frameWith({ quantities: { outlet_celsius: suspect(31.2, "NOVEL") } }), "outlet")?.why).toBe("NOVEL");
  });

  it("put the humidity outside where there is a sensor outside, else at the inlet", () => {
    const damp = { humidity_ratio: good(0.62) };
    expect(of(frameWith({ quantities: damp }), "inlet")?.lines).toEqual(["humidity 62\u00a0%"]);
    const outside = frameWith({ quantities: { ...damp, ambient_celsius: good(17.2) } });
    expect(of(outside, "inlet")?.lines).toEqual([]);
    expect(of(outside, "ambient")?.lines).toEqual(["humidity 62\u00a0%"]);
  });

  it("mark the fan's name when it is the news", () => {
    expect(of(frameWith({ fan: "stalled" }), "fan")).toMatchObject({ name: "fan: stalled", alarming: true });
    expect(of(frameWith(), "fan")).toMatchObject({ name: "fan: turning", alarming: false });
  });

  it("keep the upper bound beside the core", () => {
    expect(of(frameWith(), "core")?.lines).toEqual(["not above 73\u00a0°C"]);
  });
});

describe("the drawing in words", () => {
  it("says everything the picture says", () => {
    const frame = frameWith({
      quantities: { inlet_celsius: bad("TIMEOUT"), outlet_celsius: suspect(31.2, "JUMP") },
      fan: "doubtful",
    });
    const said = spokenDrawing(readouts(frame, figures), frame, 5).replaceAll("\u00a0", " ");
    expect(said).toBe(
      "Section drawing of the feedpoint box. The numbers are 5 seconds old. inlet air: no reading, no answer in time. " +
        "core 64 °C, estimated. not above 73 °C. outlet air 31.2 °C, suspect: jumped. fan: tach doubtful 2,480 rpm. " +
        "drive 1,180 W. transmitting. 40 m CW.",
    );
  });
});

describe("the sheets", () => {
  it("keep every callout and target on the paper", () => {
    for (const sheet of Object.values(SHEETS)) {
      for (const { at, width, target } of Object.values(sheet.callouts)) {
        expect(at[0]).toBeGreaterThanOrEqual(0);
        expect(at[0] + width).toBeLessThanOrEqual(sheet.width);
        for (const [x, y] of [at, target]) {
          expect(x).toBeLessThanOrEqual(sheet.width);
          expect(y).toBeGreaterThan(0);
          expect(y).toBeLessThan(sheet.height);
        }
      }
    }
  });
});
