// Kilovolts at the secondary and the wire's end: energy balance, peaks, mismatch.
import { describe, expect, it } from "vitest";
import {
  cutWireMeters,
  secondaryVoltage,
  VOLTAGE_CAUTION,
  wireEndVolts,
} from "../../../daemon/core/physics/secondary.ts";

/** Speed of light (SI definition). */
const LIGHT_METERS_PER_SECOND = 299_792_458;

describe("secondary voltage", () => {
  it("steps the primary's volts up and keeps the power", () => {
    const volts = secondaryVoltage(3, 21, 1500);
    expect(volts.secondaryOhms).toBeCloseTo(2450, 9);
    expect(volts.secondaryVolts ** 2 / volts.secondaryOhms).toBeCloseTo(1500, 9);
    expect(volts.secondaryPeakVolts).toBeCloseTo(2711.1, 1);
  });

  it("takes a mismatch at its worst", () => {
    const matched = secondaryVoltage(2, 16, 400).secondaryVolts;
    const swr = secondaryVoltage(2, 16, 400, { kind: "swr", ratio: 4, lineOhms: 50 }).secondaryVolts;
    expect(swr).toBeCloseTo(2 * matched, 9);
  });

  it("puts kilovolts on the far end as well, more for thinner wire", () => {
    const thick = wireEndVolts(1500, 40, 4e-3);
    const thin = wireEndVolts(1500, 40, 1e-3);
    expect(thick).toBeGreaterThan(1500);
    expect(thin).toBeGreaterThan(thick);
    expect(thin).toBeLessThan(5000);
    expect(() => wireEndVolts(1500, 0.001, 1e-3)).toThrow("wire length");
  });

  it("never comes without words that keep people away", () => {
    expect(VOLTAGE_CAUTION).toMatch(/burn/);
    expect(VOLTAGE_CAUTION).toMatch(/[Ll]ocal codes/);
  });

  it("cuts a wire a little shorter than the free half wave", () => {
    for (const hertz of [1.9e6, 3.6e6, 7.1e6, 28.4e6]) {
      const ratio = cutWireMeters(hertz) / (LIGHT_METERS_PER_SECOND / (2 * hertz));
      expect(ratio).toBeGreaterThan(0.94);
      expect(ratio).toBeLessThan(0.97);
    }
  });
});
