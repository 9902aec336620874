// A recording's columns and values: what is missing is missing, what is wrong is told with file, line and column.

import { describe, expect, it } from "vitest";
import { RequestError } from "../../daemon/config/problem.ts";
import { readRecording } from "../../daemon/recording/recording.ts";

const HEADER = "time_seconds,inlet_celsius,outlet_celsius,fan_rpm";
const rowsOf = (text: string) => [...readRecording([text], "r.csv")];
const problemOf = (text: string): string => {
  try {
    rowsOf(text);
  } catch (error) {
    if (error instanceof RequestError) return error.message;
    throw error;
  }
  return "none";
};

describe("rows", () => {
  it("carry numbers, and null for an empty field; a column that is not there is absent", () => {
    expect(rowsOf(`${HEADER},drive_watts\r\n0,20,26.5,11000,\r\n1,-3.25,,0,1.5e3\r\n`)).toEqual([
      { line: 2, time_seconds: 0, inlet_celsius: 20, outlet_celsius: 26.5, fan_rpm: 11_000, drive_watts: null },
      { line: 3, time_seconds: 1, inlet_celsius: -3.25, outlet_celsius: null, fan_rpm: 0, drive_watts: 1500 },
    ]);
  });

  it("may have their columns in any order", () => {
    expect(rowsOf("fan_rpm,time_seconds,outlet_celsius,inlet_celsius\r\n1,2,3,4\r\n")).toEqual([
      { line: 2, time_seconds: 2, inlet_celsius: 4, outlet_celsius: 3, fan_rpm: 1 },
    ]);
  });
});

describe("what is wrong", () => {
  it.each([
    ["", "r.csv:1: header: expected a header row with"],
    ["time_seconds,inlet_celsius\r\n", "r.csv:1: outlet_celsius: expected a column outlet_celsius, got none"],
    [
      `${HEADER},drive_wats\r\n`,
      'r.csv:1: column 5: expected a known column; the nearest is "drive_watts", got "drive_wats"',
    ],
    [`${HEADER},fan_rpm\r\n`, "r.csv:1: fan_rpm: expected each column once, got it twice"],
    [`${HEADER}\r\n0,20,26\r\n`, "r.csv:2: row: expected 4 fields as in the header, got 3"],
    [`${HEADER}\r\n0,20,26,1\r\n\r\n`, "r.csv:3: row: expected 4 fields as in the header, got 1"],
    [
      `${HEADER}\r\n0,20,warm,1\r\n`,
      'r.csv:2: outlet_celsius: expected a number from -80 to 400, or nothing, got "warm"',
    ],
    [
      `${HEADER}\r\n0,20,0x10,1\r\n`,
      'r.csv:2: outlet_celsius: expected a number from -80 to 400, or nothing, got "0x10"',
    ],
    [`${HEADER}\r\n0,20,26,-5\r\n`, 'r.csv:2: fan_rpm: expected a number from 0 to 200000, or nothing, got "-5"'],
    [`${HEADER}\r\n,20,26,1\r\n`, "r.csv:2: time_seconds: expected a time in every row, got nothing"],
    [`${HEADER}\r\n5,20,26,1\r\n5,20,26,1\r\n`, "r.csv:3: time_seconds: expected a time after 5, got 5"],
    [`${HEADER}\r\n0,"20,26,1\r\n`, "r.csv:2: CSV: expected a quote only around a whole field"],
  ])("%j", (text, line) => {
    expect(problemOf(text)).toContain(line);
  });
});
