// Quantities with units: the values they stand for, and the one line for each that cannot be read.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { describeProblem, RequestError } from "../../daemon/config/problem.ts";
import { parseQuantity, type QuantityKind, quantity } from "../../daemon/config/quantity.ts";

const place = { what: "--x", where: "command line" };
const read = (text: string | number, kind: QuantityKind): number => quantity(text, kind, place);
const refusal = (text: string | number, kind: QuantityKind, limits: object = {}): string => {
  const { problem } = parseQuantity(text, kind, { ...place, ...limits });
  return problem === null ? "" : describeProblem(problem);
};

describe("quantity", () => {
  it.each<[string | number, QuantityKind, number]>([
    ["100ft", "length", 30.48],
    ["30m", "length", 30],
    ["12.7mm", "length", 0.0127],
    ["0.5 in", "length", 0.0127],
    ["85F", "temperature", 29.444444444444443],
    ["-40F", "temperature", -40],
    ["110C", "temperature", 110],
    ["21 °C", "temperature", 21],
    ["300K", "temperature", 26.85],
    ["8K", "temperatureDifference", 8],
    ["14F", "temperatureDifference", 7.777777777777778],
    ["1.5kW", "power", 1500],
    ["250mW", "power", 0.25],
    ["3.6MHz", "frequency", 3_600_000],
    ["7.1mhz", "frequency", 7_100_000],
    ["0.1A", "current", 0.1],
    ["12V", "voltage", 12],
    ["12CFM", "airflow", 12 * 0.000471947443],
    ["10l/s", "airflow", 0.01],
    ["50%", "ratio", 0.5],
    ["90min", "duration", 5400],
    ["1e3W", "power", 1000],
    ["3e3", "power", 3000],
    [110, "temperature", 110],
    ["42", "temperature", 42],
    ["1500", "power", 1500],
    [3.6e6, "frequency", 3_600_000],
  ])("reads %j as a %s of %d", (text, kind, value) => {
    expect(read(text, kind)).toBeCloseTo(value, 9);
  });

  it.each<[string | number, QuantityKind, string]>([
    ["", "power", "command line: --x: expected a power such as 100W or 1.5kW, got nothing"],
    ["kW", "power", 'command line: --x: expected a power such as 100W or 1.5kW, got "kW"'],
    ["1.5MW", "power", 'command line: --x: expected a power such as 100W or 1.5kW (units W, mW, kW), got "1.5MW"'],
    ["1,5kW", "power", 'command line: --x: expected a power such as 100W or 1.5kW (units W, mW, kW), got "1,5kW"'],
    ["3 W", "count", 'command line: --x: expected a number without a unit, got "3 W"'],
    ["1e999", "power", 'command line: --x: expected a power such as 100W or 1.5kW, got "1e999"'],
    [Number.NaN, "power", 'command line: --x: expected a power such as 100W or 1.5kW, got "NaN"'],
    ["8m", "temperatureDifference", "expected a temperature difference such as 8K or 14F (units K, C, F)"],
    ["30\nC", "temperature", ""],
  ])("answers %j for a %s with one line", (text, kind, line) => {
    const said = refusal(text, kind);
    expect(said).toContain(line);
    expect(said).not.toContain("\n");
  });

  it("keeps to the limits of the place, in SI", () => {
    expect(refusal("500F", "temperature", { low: -40, high: 60 })).toBe(
      'command line: --x: expected a temperature from -40 to 60 C, got "500F"',
    );
    expect(refusal("-1W", "power", { low: 0 })).toBe('command line: --x: expected a power of at least 0 W, got "-1W"');
    expect(refusal("3.5", "count", { low: 1, high: 9, whole: true })).toBe(
      'command line: --x: expected a whole number from 1 to 9, got "3.5"',
    );
    expect(refusal("140F", "temperature", { low: -40, high: 60 })).toBe("");
  });

  it("throws the same problem it returns", () => {
    expect(() => read("no", "length")).toThrow(RequestError);
    expect(() => read("no", "length")).toThrow(refusal("no", "length"));
  });

  it("never throws anything but a problem, whatever is typed, and never answers with a line break", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 60 }), (text) => {
        const parsed = parseQuantity(text, "length", place);
        if (parsed.problem === null) expect(Number.isFinite(parsed.value)).toBe(true);
        else expect(describeProblem(parsed.problem)).not.toMatch(/[\r\n]/);
      }),
    );
  });

  it("agrees with itself across units", () => {
    fc.assert(
      fc.property(fc.double({ min: -60, max: 300, noNaN: true }), (celsius) => {
        const fahrenheit = `${(celsius * 9) / 5 + 32}F`;
        const kelvin = `${celsius + 273.15}K`;
        if (/e/.test(fahrenheit + kelvin)) return;
        expect(read(fahrenheit, "temperature")).toBeCloseTo(celsius, 9);
        expect(read(kelvin, "temperature")).toBeCloseTo(celsius, 9);
      }),
    );
  });
});
