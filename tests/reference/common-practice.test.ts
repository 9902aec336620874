// Common practice, no source: rules of thumb of the trade for airflow, wire length and fans in louvred boxes.
import { describe, expect, it } from "vitest";
import { air } from "../../daemon/core/physics/air.ts";
import { airflowForHeat, CUBIC_FOOT_PER_MINUTE } from "../../daemon/core/physics/airflow.ts";
import { operatingPoint, straightFan } from "../../daemon/core/physics/fan.ts";
import { cutWireMeters } from "../../daemon/core/physics/secondary.ts";
import { roundVents, ventResistance } from "../../daemon/core/physics/vents.ts";

/** Speed of light (SI definition). */
const LIGHT_METERS_PER_SECOND = 299_792_458;

describe("common practice (no source)", () => {
  it("CFM = 1.76 · W/ΔT(K) = 3.16 · W/ΔT(°F), within 1 % at sea level and 20 °C", () => {
    const perKelvin = airflowForHeat(1, 1, air(20)) / CUBIC_FOOT_PER_MINUTE;
    expect(Math.abs(perKelvin / 1.76 - 1)).toBeLessThan(0.01);
    expect(Math.abs((perKelvin * 1.8) / 3.16 - 1)).toBeLessThan(0.01);
    expect(airflowForHeat(60, 14, air(20)) / CUBIC_FOOT_PER_MINUTE).toBeCloseTo(7.5, 2);
  });

  it("half-wave wire: 468/f(MHz) feet, 130 ft at 3.6 MHz where the free half wave is 136.6 ft", () => {
    expect(cutWireMeters(3.6e6) / 0.3048).toBeCloseTo(130, 9);
    const halfWaveMeters = LIGHT_METERS_PER_SECOND / (2 * 3.6e6);
    expect(halfWaveMeters).toBeCloseTo(41.64, 2);
    expect(halfWaveMeters / 0.3048).toBeCloseTo(136.6, 1);
  });

  it("a small fan moves 50 to 70 % of its free delivery through three louvred 25 mm vents", () => {
    for (const shutOff of [90, 125, 180]) {
      const fan = straightFan(12 * CUBIC_FOOT_PER_MINUTE, shutOff);
      const share = operatingPoint(fan, ventResistance(roundVents(3, 0.025), air(30))).shareOfFreeDelivery;
      expect(share).toBeGreaterThan(0.5);
      expect(share).toBeLessThan(0.75);
    }
  });
});
