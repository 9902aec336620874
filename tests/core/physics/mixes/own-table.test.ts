// An operator's own table: what it accepts, and every fault with its line.
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { permeabilityAt } from "../../../../daemon/core/physics/mixes/mix.ts";
import { MIX_43 } from "../../../../daemon/core/physics/mixes/mix-43.ts";
import { parseOwnTable } from "../../../../daemon/core/physics/mixes/own-table.ts";

const faultsOf = (text: string) => parseOwnTable(text, "own").faults;

describe("own table", () => {
  it("reads a table with comments, blank lines, a byte-order mark and another column order", () => {
    const table = parseOwnTable(
      "\uFEFF# measured on the bench\r\nmu_imaginary,frequency_hertz,mu_real\r\n\r\n10,1e6,800\r\n220,3.6e6,470\r\n",
      "bench",
      { curieCelsius: 130 },
    );
    expect(table.faults).toBeNull();
    expect(table.mix?.permeabilityPoints).toEqual([
      [1e6, 800, 10],
      [3.6e6, 470, 220],
    ]);
    expect(table.mix).toMatchObject({ name: "bench", curieCelsius: 130, saturationTeslaAt25Celsius: null });
  });

  it("gives the same answers as the published table it was written from", () => {
    const text = [
      "frequency_hertz,mu_real,mu_imaginary",
      ...MIX_43.permeabilityPoints.map((row) => row.join(",")),
    ].join("\n");
    const own = parseOwnTable(text, "copy").mix!;
    expect(permeabilityAt(own, 7.1e6)).toEqual(permeabilityAt(MIX_43, 7.1e6));
  });

  it("names every fault with line and column", () => {
    const text = "frequency_hertz,mu_real,mu_imaginary\n1e6,0,10\n2e6,500\n1e5,500,1\nx,500,-1\n";
    expect(faultsOf(text)).toEqual([
      { line: 2, column: "mu_real", expected: "a number above 0", got: "0" },
      { line: 3, column: "row", expected: "3 fields", got: "2" },
      { line: 5, column: "frequency_hertz", expected: "a frequency above the row before (100000 Hz)", got: "x" },
      { line: 5, column: "mu_imaginary", expected: "a number, 0 or above", got: "-1" },
    ]);
  });

  it.each([
    ["", "an empty file"],
    ["# only a remark\n", "an empty file"],
    ["frequency,real,imaginary\n1,2,3\n", "frequency,real,imaginary"],
    ["frequency_hertz,mu_real,mu_imaginary,note\n1,2,3,a\n", "frequency_hertz,mu_real,mu_imaginary,note"],
  ])("wants the header, not %j", (text, got) => {
    expect(faultsOf(text)).toEqual([
      { line: 1, column: "header", expected: "the header frequency_hertz,mu_real,mu_imaginary", got },
    ]);
  });

  it("wants two rows, ascending", () => {
    const header = "frequency_hertz,mu_real,mu_imaginary";
    expect(faultsOf(`${header}\n1e6,800,10\n`)).toEqual([
      { line: 3, column: "row", expected: "at least 2 rows", got: "1" },
    ]);
    expect(faultsOf(`${header}\n2e6,800,10\n1e6,800,10\n`)).toHaveLength(1);
    expect(faultsOf(`${header}\n2e6,800,10\n2e6,800,10\n`)).toHaveLength(1);
  });

  it("is bounded: a flood of faults stops early, a flood of rows is refused", () => {
    const header = "frequency_hertz,mu_real,mu_imaginary";
    expect(faultsOf([header, ...Array(5000).fill("x,y,z")].join("\n"))!.length).toBeLessThan(30);
    const rows = Array.from({ length: 10_050 }, (_, index) => `${1000 + index},100,1`);
    expect(faultsOf([header, ...rows].join("\n"))).toMatchObject([{ expected: "at most 10000 rows" }]);
  });

  it("never throws, whatever the text", () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const table = parseOwnTable(`frequency_hertz,mu_real,mu_imaginary\n${text}`, "any");
        expect((table.mix === null) !== (table.faults === null)).toBe(true);
      }),
    );
  });
});
