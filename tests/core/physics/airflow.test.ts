// The stream's heat balance, fan against vents, draught: that balances close, and that crossings are crossings.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { air } from "../../../daemon/core/physics/air.ts";
import { airflowForHeat, riseForHeat, streamWattsPerKelvin } from "../../../daemon/core/physics/airflow.ts";
import { type Fan, fan, fanAt, operatingPoint, straightFan } from "../../../daemon/core/physics/fan.ts";
import { dischargeAreaSquareMeters, roundVents, ventResistance } from "../../../daemon/core/physics/vents.ts";

const positive = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe("stream", () => {
  it("closes its heat balance", () => {
    fc.assert(
      fc.property(positive(1, 500), positive(0.5, 100), positive(-20, 50), (heat, rise, at) => {
        const sample = air(at, 0.4);
        const flow = airflowForHeat(heat, rise, sample);
        expect(riseForHeat(heat, flow, sample) / rise).toBeCloseTo(1, 9);
        expect((streamWattsPerKelvin(flow, sample) * rise) / heat).toBeCloseTo(1, 9);
      }),
    );
  });

  it("refuses a rise of nothing", () => {
    expect(() => airflowForHeat(100, 0, air(20))).toThrow("rise");
    expect(() => riseForHeat(100, 0, air(20))).toThrow("airflow");
  });
});

describe("fan against vents", () => {
  it("stands on both curves at once", () => {
    fc.assert(
      fc.property(positive(1e-3, 0.05), positive(5, 500), positive(1e3, 1e9), (free, shutOff, resistance) => {
        const point = operatingPoint(straightFan(free, shutOff), resistance);
        const flow = point.airflowCubicMetersPerSecond;
        expect(point.pressurePascals / (resistance * flow * flow)).toBeCloseTo(1, 9);
        expect((shutOff * (1 - flow / free)) / point.pressurePascals).toBeCloseTo(1, 6);
        expect(point.shareOfFreeDelivery).toBeCloseTo(flow / free, 12);
      }),
    );
  });

  it("moves less through more resistance, and its free delivery through none", () => {
    const small = straightFan(0.005, 100);
    expect(operatingPoint(small, 0)).toEqual({
      airflowCubicMetersPerSecond: 0.005,
      pressurePascals: 0,
      shareOfFreeDelivery: 1,
    });
    expect(operatingPoint(small, 2e6).airflowCubicMetersPerSecond).toBeGreaterThan(
      operatingPoint(small, 4e6).airflowCubicMetersPerSecond,
    );
  });

  it("takes the crossing with the least flow on a curve that sags", () => {
    const sagging: Fan = fan([
      { airflowCubicMetersPerSecond: 0, pressurePascals: 100 },
      { airflowCubicMetersPerSecond: 0.002, pressurePascals: 30 },
      { airflowCubicMetersPerSecond: 0.003, pressurePascals: 90 },
      { airflowCubicMetersPerSecond: 0.005, pressurePascals: 0 },
    ]);
    const point = operatingPoint(sagging, 9e6);
    expect(point.airflowCubicMetersPerSecond).toBeLessThan(0.002);
    expect(operatingPoint(sagging, 3e6).airflowCubicMetersPerSecond).toBeGreaterThan(0.003);
  });

  it("ends at the last point of a curve that does not reach the axis", () => {
    const cut = fan([
      { airflowCubicMetersPerSecond: 0, pressurePascals: 100 },
      { airflowCubicMetersPerSecond: 0.004, pressurePascals: 60 },
    ]);
    expect(operatingPoint(cut, 1).airflowCubicMetersPerSecond).toBe(0.004);
  });

  it("refuses curves that run backwards and fans that stand still", () => {
    expect(() =>
      fan([
        { airflowCubicMetersPerSecond: 0, pressurePascals: 100 },
        { airflowCubicMetersPerSecond: 0, pressurePascals: 60 },
      ]),
    ).toThrow("airflow of the fan curve");
    expect(() => fanAt(straightFan(0.005, 100), 0, 1.2)).toThrow("speed ratio");
  });
});

describe("vents", () => {
  it("resist a quarter as much with twice the free area", () => {
    const half = ventResistance(roundVents(2, 0.025), air(20));
    expect(ventResistance(roundVents(4, 0.025), air(20)) / half).toBeCloseTo(0.25, 12);
    expect(dischargeAreaSquareMeters(roundVents(1, 0.02, 1))).toBeCloseTo(0.61 * Math.PI * 1e-4, 9);
  });
});
