// Source: fan affinity laws as in AMCA Publication 201 and the ASHRAE Handbook (HVAC Systems and Equipment):
// flow goes with speed, pressure with its square and density.
import { describe, expect, it } from "vitest";
import { fanAt, operatingPoint, straightFan } from "../../daemon/core/physics/fan.ts";

describe("fan laws", () => {
  const nominal = straightFan(0.00566, 125);

  it("halve the flow and quarter the pressure at half speed", () => {
    const slow = fanAt(nominal, 0.5, 1.2);
    expect(slow.points[1]!.airflowCubicMetersPerSecond).toBeCloseTo(0.00283, 9);
    expect(slow.points[0]!.pressurePascals).toBeCloseTo(31.25, 9);
  });

  it("move the operating point along the same resistance in proportion to speed", () => {
    const resistance = 3e6;
    const full = operatingPoint(nominal, resistance);
    for (const speed of [0.3, 0.6, 0.9, 1.2]) {
      const point = operatingPoint(fanAt(nominal, speed, 1.2), resistance);
      expect(point.airflowCubicMetersPerSecond / full.airflowCubicMetersPerSecond).toBeCloseTo(speed, 9);
      expect(point.pressurePascals / full.pressurePascals).toBeCloseTo(speed * speed, 9);
    }
  });

  it("leave the volume flow alone in thin air, where vents and fan lose alike", () => {
    const thin = operatingPoint(fanAt(nominal, 1, 0.9), 3e6 * (0.9 / 1.2));
    expect(thin.airflowCubicMetersPerSecond).toBeCloseTo(operatingPoint(nominal, 3e6).airflowCubicMetersPerSecond, 9);
  });
});
