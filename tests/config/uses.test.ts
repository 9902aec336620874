// What a config amounts to: hardware to open, a model, a program; and what only shows when its values meet.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { hardwareSpec } from "../../daemon/config/hardware-spec.ts";
import { coreOf, lossFractionAt, modelOf } from "../../daemon/config/model.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { programOf } from "../../daemon/config/program.ts";
import { DEFAULT_PROTECTION } from "../../daemon/core/protect/settings.ts";
import { bad } from "../../daemon/core/readings.ts";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import { HARDWARE_ERRORS, HARDWARE_REMEDIES, type HardwareErrorCode } from "../../hardware/errors.ts";
import { demoScenario } from "../../hardware/simulated/scenario.ts";
import { FAN, READINGS, SCENE, TURNING } from "../core/protect/fixtures.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";
import { testFolder } from "../support/folder.ts";
import { problemsOf } from "../support/problems.ts";

const transformer = (mix = "43", toroids = 3) =>
  `[transformer]\nmix = "${mix}"\ntoroids = ${toroids}\nprimary_turns = 3\n`;
const read = (text: string) => parseConfig(text, "x.toml");

describe("hardware", () => {
  it("of the simulated feedpoint's config is what the simulation is wired as", () => {
    expect(hardwareSpec(read(DEMO_CONFIG))).toEqual(DEMO_SPEC);
  });

  it("of sensors by kernel file, without tach and relay", () => {
    const spec = hardwareSpec(
      read(
        `${transformer()}[tach]\nfitted = false\n[[sensor]]\nname = "a"\nrole = "inlet"\none_wire = "/sys/w1"\n[[sensor]]\nname = "b"\nrole = "outlet"\nhwmon = "/sys/h1"\n`,
      ),
    );
    expect(spec).toEqual({
      sensors: [
        { name: "a", role: "inlet", source: { kind: "one-wire", path: "/sys/w1" } },
        { name: "b", role: "outlet", source: { kind: "hwmon", path: "/sys/h1" } },
      ],
      tachometer: null,
      supply: null,
      drive: null,
      relay: null,
      ptt: null,
      buzzer: null,
      fanCut: null,
      pulse: null,
    });
  });

  it("cannot have two thermometers at one file of the kernel", () => {
    const sensor = (name: string, role: string, key: string) =>
      `[[sensor]]\nname = "${name}"\nrole = "${role}"\n${key} = "/sys/x"\n`;
    for (const key of ["hwmon", "one_wire"]) {
      const twice = `${transformer()}${sensor("a", "inlet", key)}${sensor("b", "outlet", key)}`;
      expect(problemsOf(() => hardwareSpec(read(twice)))).toEqual([
        {
          what: `sensor[1].${key}`,
          where: "x.toml:12",
          expected: `something other than sensor[0].${key} has`,
          got: "/sys/x",
        },
      ]);
    }
  });

  it("cannot have two parts at one address, one line, or with one name", () => {
    const sensor = (name: string, address: string) =>
      `[[sensor]]\nname = "${name}"\nrole = "inlet"\nchip = "lm75"\naddress = ${address}\n`;
    const twice = `${transformer()}${sensor("a", "0x48")}${sensor("a", "0x48")}${sensor("b", "0x4b").replace("inlet", "outlet")}[drive]\naddress = 0x48\n[relay]\nreduce = 17\ninhibit = 24\n`;
    expect(problemsOf(() => hardwareSpec(read(twice)))).toMatchObject([
      { what: "sensor[1].name", where: "x.toml:11", got: '"a"' },
      { what: "sensor[1].address", where: "x.toml:14", got: "i2c-1 0x48" },
      { what: "drive.address", where: "x.toml:21", got: "i2c-1 0x48" },
      { what: "relay.reduce", where: "x.toml:23", expected: "something other than tach.line has" },
    ]);
  });
});

describe("hardware that could not do its work", () => {
  it("is refused without a sensor at the inlet or at the outlet", () => {
    const lone = `${transformer()}[[sensor]]\nname = "w"\nrole = "wall"\nchip = "tmp117"\naddress = 0x48\n`;
    expect(problemsOf(() => hardwareSpec(read(lone)))).toMatchObject([
      { what: "sensor", expected: 'a [[sensor]] with role = "inlet"', got: "wall only" },
      { what: "sensor", expected: 'a [[sensor]] with role = "outlet"', got: "wall only" },
    ]);
  });

  it("is refused with a detector whose calibration falls, and stands with the usual sensors and a detector", () => {
    const detector = (points: string) => read(`${transformer()}[drive]\ncalibration = ${points}\n`);
    expect(problemsOf(() => hardwareSpec(detector('[["2V", "100W"], ["1V", "200W"]]')))).toMatchObject([
      { what: "drive.calibration", where: "x.toml:6", got: "2 V 100 W, 1 V 200 W" },
    ]);
    expect(hardwareSpec(detector('[["1V", "100W"], ["2V", "400W"]]')).drive?.address).toBe(0x4a);
  });
});

describe("the example beside the unit", () => {
  it("is a whole station that can be: read, wired and protected", () => {
    const example = parseConfig(
      readFileSync(new URL("../../systemd/emberwire.toml", import.meta.url), "utf8"),
      "x.toml",
    );
    const spec = hardwareSpec(example);
    expect([spec.tachometer, spec.relay, spec.supply, spec.drive]).not.toContain(null);
    expect(spec.sensors.map(({ role }) => role)).toEqual(["inlet", "outlet", "wall"]);
    expect(programOf(example, modelOf(example)).warnings).toEqual([]);
  });
});

describe("the model", () => {
  it("has a loss per band that the ferrite's table covers, and no other", () => {
    const { bands, calibration } = modelOf(read(transformer()));
    expect(bands.map(({ band }) => band)).toContain("80 m");
    expect(bands.every(({ lossFraction }) => lossFraction > 0 && lossFraction < 1)).toBe(true);
    expect(calibration).toBe("not calibrated");
  });

  it("holds heat in proportion to the ferrite", () => {
    const heat = (toroids: number) =>
      modelOf(read(transformer("43", toroids))).constants.coreHeatCapacityJoulesPerKelvin.value;
    expect(heat(6) / heat(3)).toBeCloseTo(2, 10);
  });

  it("counts the copper where the winding is known", () => {
    const bare = read(transformer());
    const wound = read(`${transformer()}secondary_turns = 21\nwire_diameter = "1.3mm"\n`);
    const at = 14.2e6;
    expect(lossFractionAt(wound.config, coreOf(wound), at)).toBeGreaterThan(
      lossFractionAt(bare.config, coreOf(bare), at),
    );
  });

  it.each([
    ["mix", transformer("44"), "transformer.mix", "x.toml:2"],
    ["toroid", `${transformer()}toroid = "big"\n`, "transformer.toroid", "x.toml:5"],
  ])("refuses an unknown %s with its line", (_, text, what, where) => {
    expect(problemsOf(() => modelOf(read(text)))).toMatchObject([{ what, where }]);
  });
});

describe("the program", () => {
  const programFor = (text: string) => programOf(read(text), modelOf(read(text)));

  it("takes its own defaults for what is left out, and the mix's Curie point", () => {
    const { limits, alarms } = programFor(transformer());
    expect(limits).toEqual({ ...DEFAULT_PROTECTION.limits, curieCelsius: 130 });
    expect(alarms).toEqual(DEFAULT_PROTECTION.alarms);
    expect(programFor(transformer("52")).limits.curieCelsius).toBe(250);
  });

  it.each(Object.keys(HARDWARE_ERRORS) as HardwareErrorCode[])(
    "says %s in the alarms' words, with what to do",
    (code) => {
      const settings = programFor(transformer());
      for (const tag of ["inlet_bad", "tach_doubtful", "inlet_implausible"]) {
        const { alarm, condition } = settings.watches.find((watch) => watch.alarm.tag === tag)!;
        const readings = { ...READINGS, inlet: bad(code), fan: { ...FAN, rpm: bad(code) } };
        const text = condition.words({ ...SCENE, settings, readings, fan: { ...TURNING, verdict: "unknown" } }, alarm);
        expect(text).toContain(`: ${HARDWARE_ERRORS[code]}. ${HARDWARE_REMEDIES[code]}`);
      }
    },
  );

  it("takes what is set", () => {
    const frozen = programFor(
      `${transformer()}[limits]\ncore = "105C"\n[fan]\nnominal_speed = "9000rpm"\nstall = "0.5s"\n[alarms]\nbuzzer_from = "never"\n[station]\nfull_drive = "400W"\n`,
    );
    expect(frozen.limits.limitCelsius).toBe(105);
    expect(frozen.fan).toMatchObject({ nominalRpm: 9000, stallSeconds: 0.5 });
    expect(frozen.alarms.buzzerFrom).toBeNull();
    expect(frozen.fullDriveWatts).toBe(400);
  });

  it("keeps the usual distances below a limit or a reduce point of the operator's choice", () => {
    const limitsFor = (keys: string) => programFor(`${transformer()}[limits]\n${keys}`).limits;
    expect(limitsFor('core = "60C"\n')).toMatchObject({ reduceCelsius: 50, alarmCelsius: 45, resetCelsius: 35 });
    expect(limitsFor('reduce = "90C"\n')).toMatchObject({ limitCelsius: 110, alarmCelsius: 85, resetCelsius: 75 });
    expect(limitsFor('core = "70C"\nreset = "40C"\n')).toMatchObject({ reduceCelsius: 60, resetCelsius: 40 });
  });

  it.each([
    ["a limit beyond the mix's Curie point", 'core = "140C"\n', "transformer.curie", "x.toml:1"],
    ["a reduce point at the limit", 'reduce = "110C"\n', "limits.reduce", "x.toml:6"],
    ["a reset point at the reduce point", 'reset = "100C"\n', "limits.reset", "x.toml:6"],
    ["a warning above the reduce point", 'alarm = "101C"\n', "limits.alarm", "x.toml:6"],
  ])("refuses %s", (_, keys, what, where) => {
    expect(problemsOf(() => programFor(`${transformer()}[limits]\n${keys}`))).toMatchObject([{ what, where }]);
  });

  it("does not move an unknown Curie point along with the limit", () => {
    const file = join(testFolder(), "own.csv");
    writeFileSync(file, "frequency_hertz,mu_real,mu_imaginary\n1e6,800,10\n3e7,300,300\n");
    const transformerOfIt = `[transformer]\nmix = ${JSON.stringify(file)}\ntoroids = 3\nprimary_turns = 3\n`;
    expect(programFor(transformerOfIt).limits.curieCelsius).toBe(DEFAULT_PROTECTION.limits.curieCelsius);
    expect(problemsOf(() => programFor(`${transformerOfIt}[limits]\ncore = "140C"\n`))).toMatchObject([
      { what: "transformer.curie", got: "130" },
    ]);
    expect(programFor(`${transformerOfIt}curie = "200C"\n[limits]\ncore = "140C"\n`).limits).toMatchObject({
      limitCelsius: 140,
      curieCelsius: 200,
    });
  });

  it("names the config's keys where settings contradict each other", () => {
    const problems = problemsOf(() => programFor(`${transformer()}[limits]\ncore = "105C"\nreduce = "106C"\n`));
    expect(problems).toMatchObject([{ what: "limits.reduce", where: "x.toml:7", got: "106" }]);
    expect(problems[0]?.expected).toContain("limits.core");
  });
});

describe("the simulated feedpoint", () => {
  it("is wound in its config as in its scenario", () => {
    const { mix, toroids, outerMillimeters, innerMillimeters, heightMillimeters, primaryTurns } =
      demoScenario(1).transformer;
    expect(read(DEMO_CONFIG).config.transformer).toMatchObject({
      mix,
      toroids,
      toroid: `${outerMillimeters.toFixed(1)}x${innerMillimeters}x${heightMillimeters}mm`,
      primary_turns: primaryTurns,
    });
  });
});
