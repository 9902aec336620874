// Source: ASTM B258, standard nominal diameters of solid round wires (AWG), with the copper resistivity of IACS (IEC 60028),
// 17.241 nΩ·m at 20 °C. Table values of any wire handbook; 4/0 is 0.4600 in by definition and 36 is 0.0050 in.
import { describe, expect, it } from "vitest";
import { awgDiameterMeters, wireDrop, wireOhmsPerMeter } from "../../daemon/core/physics/wire.ts";

describe("ASTM B258", () => {
  it.each([
    [14, 1.6277, 8.29],
    [18, 1.0237, 20.95],
    [20, 0.8118, 33.31],
    [22, 0.6438, 52.96],
    [24, 0.5106, 84.21],
  ])("AWG %d is %d mm and %d Ω/km", (gauge, millimeters, ohmsPerKilometer) => {
    const diameter = awgDiameterMeters(gauge);
    expect(diameter * 1e3).toBeCloseTo(millimeters, 3);
    expect(Math.abs((wireOhmsPerMeter(diameter, 20) * 1e3) / ohmsPerKilometer - 1)).toBeLessThan(0.001);
  });

  it("has its two defining gauges", () => {
    expect(awgDiameterMeters(-3) / 0.0254).toBeCloseTo(0.46, 6);
    expect(awgDiameterMeters(36) / 0.0254).toBeCloseTo(0.005, 9);
  });

  it("drops 0.318 V over 30 m of AWG 22 pair at 100 mA", () => {
    const { dropVolts, farVolts } = wireDrop({
      diameterMeters: awgDiameterMeters(22),
      lengthMeters: 30,
      currentAmperes: 0.1,
      supplyVolts: 12,
      celsius: 20,
    });
    expect(dropVolts).toBeCloseTo(0.318, 3);
    expect(farVolts).toBeCloseTo(11.682, 3);
  });
});
