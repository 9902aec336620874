// Numbers in the reader's units. Conversions are held against definitions: NIST SP 811 (2008), appendix B, for the cubic
// foot per minute and the Fahrenheit degree (factors from memory of that table, exact where the table says exact).

import { describe, expect, it } from "vitest";
import { fahrenheit, figuresFor, joined, roundedWatts } from "../../web/figures.ts";
import { DEFAULT_PREFERENCES } from "../../web/preferences.ts";

const metric = figuresFor(DEFAULT_PREFERENCES, "en-GB");
const imperial = figuresFor(
  { ...DEFAULT_PREFERENCES, temperature: "fahrenheit", airflow: "cubic feet per minute", clock: "utc" },
  "en-US",
);
const german = figuresFor({ ...DEFAULT_PREFERENCES, clock: "utc" }, "de-DE");

describe("figures", () => {
  it("convert temperatures by definition: ice, steam, and where both scales meet", () => {
    expect(fahrenheit(0)).toBe(32);
    expect(fahrenheit(100)).toBeCloseTo(212, 12);
    expect(fahrenheit(-40)).toBeCloseTo(-40, 12);
  });

  it("convert differences without the offset", () => {
    expect(joined(metric.difference(10))).toBe("10.0\u00a0K");
    expect(joined(imperial.difference(10))).toBe("18.0\u00a0°F");
  });

  it("convert airflow: 1 ft³/min is 4.719474e-4 m³/s (NIST SP 811)", () => {
    expect(imperial.airflow(100 * 4.719474e-4)).toEqual({ number: "100.0", unit: "CFM" });
    expect(metric.airflow(0.0124)).toEqual({ number: "12.4", unit: "l/s" });
    expect(metric.airflow(0.00004)).toEqual({ number: "0.04", unit: "l/s" });
  });

  it("write numbers by the reader's locale", () => {
    expect(german.temperature(18.44)).toEqual({ number: "18,4", unit: "°C" });
    expect(german.power(1500).number).toBe("1.500");
    expect(imperial.power(1500).number).toBe("1,500");
  });

  it("never write a minus before nothing", () => {
    expect(metric.temperature(-0.04).number).toBe("0.0");
  });

  it("say durations as a person does", () => {
    const said = [0, 59.9, 60, 375, 5399, 5400, 23 * 3600 + 1800, 24 * 3600].map((one) => joined(metric.duration(one)));
    expect(said.map((one) => one.replaceAll("\u00a0", " "))).toEqual([
      "< 1 min",
      "< 1 min",
      "1 min",
      "6 min",
      "89 min",
      "1 h 30 min",
      "23 h 30 min",
      "> 24 h",
    ]);
  });

  it("round a drive down, never up", () => {
    expect([0, 4, 187, 913, 1634, 1599].map(roundedWatts)).toEqual([0, 0, 185, 910, 1600, 1550]);
    for (let watts = 0; watts < 3000; watts += 7) expect(roundedWatts(watts)).toBeLessThanOrEqual(watts);
  });

  it("write the clock in UTC where asked", () => {
    // RFC 3339, section 5.8: 1985-04-12T23:20:50Z; 482 196 050 s after the epoch.
    expect(imperial.clock(Date.UTC(1985, 3, 12, 23, 20, 50) / 1000, true)).toBe("23:20:50");
  });

  it("put degrees inside the daemon's words into the reader's unit, and touch nothing else", () => {
    const words = "upper bound 108.4 °C, limit 110 °C, for 3.2 s";
    expect(metric.readable(words)).toBe(words);
    expect(imperial.readable(words)).toBe("upper bound 227.1\u00a0°F, limit 230\u00a0°F, for 3.2 s");
    expect(imperial.readable("-12.5 °C")).toBe("9.5\u00a0°F");
  });
});
