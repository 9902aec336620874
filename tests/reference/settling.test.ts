// Where a warm core settles, and that one without equilibrium runs away.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { publishedMix } from "../../daemon/core/physics/mixes/published.ts";
import { heatEffect } from "../../daemon/core/physics/temperature.ts";
import { settlingPoint } from "./settling.ts";

const mix43 = publishedMix("43")!;

describe("settling point", () => {
  const heat = (watts: number) => (celsius: number) => watts * heatEffect(mix43, celsius).lossFactor;
  const cooling = (celsius: number) => 0.8 * (celsius - 30);

  it("finds heat in equal to heat out, and the point of no return above it", () => {
    const found = settlingPoint(heat(40), cooling, 30, 130);
    if (found.kind !== "settles") return expect.unreachable("it must settle");
    expect(heat(40)(found.celsius)).toBeCloseTo(cooling(found.celsius), 6);
    expect(found.pointOfNoReturnCelsius).not.toBeNull();
    const above = found.pointOfNoReturnCelsius!;
    expect(above).toBeGreaterThan(found.celsius + 10);
    expect(heat(40)(above + 1)).toBeGreaterThan(cooling(above + 1));
    expect(heat(40)(above - 1)).toBeLessThan(cooling(above - 1));
  });

  it("says that a core without equilibrium runs away", () => {
    expect(settlingPoint(heat(90), cooling, 30, 130)).toEqual({ kind: "runs away" });
  });

  it("settles where it stands when it already rejects more than it makes", () => {
    expect(settlingPoint(() => 0, cooling, 40, 130)).toEqual({
      kind: "settles",
      celsius: 40,
      pointOfNoReturnCelsius: null,
    });
  });

  it("never settles cooler with more drive", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 60, noNaN: true }),
        fc.double({ min: 1, max: 1.5, noNaN: true }),
        (watts, more) => {
          const less = settlingPoint(heat(watts), cooling, 30, 130);
          const higher = settlingPoint(heat(watts * more), cooling, 30, 130);
          if (higher.kind === "settles") {
            expect(less.kind === "settles" && less.celsius <= higher.celsius + 1e-6).toBe(true);
          }
        },
      ),
    );
  });

  it("wants a range to look through", () => {
    expect(() => settlingPoint(heat(1), cooling, 130, 130)).toThrow("highest temperature");
  });
});
