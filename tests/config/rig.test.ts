// The rig's table and the detector's law: what they amount to, and what is wrong with them.

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { hardwareSpec } from "../../daemon/config/hardware-spec.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { driveSettings, rigOf } from "../../daemon/config/rig.ts";
import { problemsOf } from "../support/problems.ts";

const read = (text: string) =>
  parseConfig(`[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n${text}`, "x.toml");

describe("a rig", () => {
  it("that is not named is not linked", () => expect(rigOf(read(""))).toBeNull());

  it("is on this machine's usual port, its power never touched, unless said", () => {
    expect(rigOf(read("[rig]\n"))).toEqual({
      server: { host: "127.0.0.1", port: 4532 },
      fullWatts: null,
      reduceToRatio: null,
    });
    expect(rigOf(read('[rig]\nhost = "shack.local"\nfull_power = "100W"\nreduce_to = "20%"\n'))).toEqual({
      server: { host: "shack.local", port: 4532 },
      fullWatts: 100,
      reduceToRatio: 0.2,
    });
  });

  it("has a factor per band before the general one", () => {
    const { factorAt } = driveSettings(read('[rig]\nfactor = 10\nfactors = { "80 m" = 12.5 }\n'));
    expect([3.65e6, 7.03e6, null].map(factorAt)).toEqual([12.5, 10, 10]);
    expect(driveSettings(read('[rig]\nfactors = { "80 m" = 12.5 }\n')).factorAt(7.03e6)).toBeNull();
  });

  it.each([
    ['factors = { "80m" = 12 }', "rig.factors.80m", 'a band; the nearest is "80 m"', '"80m"'],
    ['reduce_to = "120%"', "rig.reduce_to", "a share", "120%"],
    ["factor = 0", "rig.factor", "a number", "0"],
    ["port = 70000", "rig.port", "a whole number from 1 to 65535", "70000"],
    ["power = 5", "rig.power", "one of host, port", '"power"'],
  ])("%s is refused where it stands", (line, what, expected, got) => {
    const [problem] = problemsOf(() => driveSettings(read(`[rig]\n${line}\n`)));
    expect(problem).toMatchObject({ what, where: "x.toml:6" });
    expect(problem?.expected).toContain(expected);
    expect(problem?.got).toContain(got);
  });
});

it("the README's example is one", () => {
  const [, example = ""] = /```toml\n(\[ptt\]\n.*?)```/s.exec(readFileSync("README.md", "utf8")) ?? [];
  const config = read(example);
  expect(rigOf(config)).toMatchObject({ fullWatts: 100, reduceToRatio: 0.2 });
  expect(driveSettings(config).factorAt(3.65e6)).toBe(12.4);
  expect(hardwareSpec(config).ptt).toEqual({ line: { headerPin: 15 }, keyedLevel: 0 });
});

describe("a detector", () => {
  it("with a logarithm needs points of its own, above zero", () => {
    const refused = (text: string) => problemsOf(() => hardwareSpec(read(`[drive]\n${text}`)))[0]?.expected;
    expect(refused('law = "log"\n')).toContain("logarithmic detector");
    expect(refused('law = "log"\ncalibration = [["0V", "0W"], ["1V", "10W"]]\n')).toContain("logarithm has no zero");
    expect(refused('law = "log"\ncalibration = [["1V", "1W"], ["1.25V", "10W"]]\n')).toBeUndefined();
    expect(refused('reflected_calibration = [["2V", "1W"], ["1V", "10W"]]\n')).toContain("rising");
  });

  it("may have another scale for what comes back", () => {
    const text =
      '[drive]\ncalibration = [["0V", "0W"], ["3V", "1500W"]]\nreflected_calibration = [["0V", "0W"], ["3V", "150W"]]\n';
    const { scale } = driveSettings(read(text));
    expect(scale.forward[1]).toEqual({ volts: 3, watts: 1500 });
    expect(scale.reflected[1]).toEqual({ volts: 3, watts: 150 });
  });
});

it("a PTT line is its pin and the level of the keyed transmitter, and shares no pin", () => {
  expect(hardwareSpec(read("[ptt]\nline = 22\n")).ptt).toEqual({
    line: { chipLabel: null, offset: 22 },
    keyedLevel: 0,
  });
  expect(hardwareSpec(read('[ptt]\nline = 22\nkeyed = "high"\n')).ptt?.keyedLevel).toBe(1);
  expect(problemsOf(() => hardwareSpec(read("[ptt]\nline = 17\n")))[0]).toMatchObject({ what: "ptt.line" });
});
