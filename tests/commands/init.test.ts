// `init` from its first question to a config that `check` passes: by a file of answers, and typed into the program as a person would,
// with a simulated finger; and what it never does to a file.

import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { register as check } from "../../daemon/commands/check.ts";
import { register } from "../../daemon/commands/init.ts";
import { readConfigFile } from "../../daemon/config/parse.ts";
import { testFolder } from "../support/folder.ts";
import { atPty, runProgramTyping } from "../support/told-program.ts";
import { told } from "./told.ts";

const ANSWERS = `inlet = "i2c-1 0x48"
outlet = "i2c-1 0x49"
"i2c-1 0x18" = "wall"
"i2c-1 0x44" = "ambient"
mix = "43"
toroids = 3
primary_turns = 3
secondary_turns = 21
wire_diameter = "1.3mm"
name = "Orchard gate"
altitude = "400ft"
`;

function answersIn(folder: string, text: string): string {
  const file = join(folder, "answers.toml");
  writeFileSync(file, text);
  return file;
}

const byAnswers = (folder: string, text = ANSWERS, ...more: string[]) => {
  const config = join(folder, "emberwire.toml");
  return told(register, ["init", "--simulated", "--config", config, "--answers", answersIn(folder, text), ...more]);
};

describe("by a file of answers", () => {
  it("writes a commented config that check passes, and the chips that it found are in it", async () => {
    const folder = testFolder();
    const { status, out } = await byAnswers(folder);
    expect(status).toBe(0);
    expect(out).toMatch(/i2c-1 0x49 {2}TMP117, identity 0117h/);
    expect(out).toMatch(/i2c-1 0x40 {2}looks like INA219/);
    expect(out).toMatch(/The fan turns: 1\d{4} rpm/);
    const file = join(folder, "emberwire.toml");
    expect(out).toContain(`emberwire check --config ${file}`);
    const { config } = readConfigFile(file);
    expect(config.sensor.map(({ role, chip }) => `${role} ${chip}`)).toEqual([
      "inlet tmp117",
      "outlet tmp117",
      "wall mcp9808",
      "ambient sht4x",
    ]);
    expect(config).toMatchObject({ version: 1, feedpoint: { name: "Orchard gate" }, supply: { chip: "ina219" } });
    expect(config.feedpoint.altitude).toBeCloseTo(121.92, 5);
    expect(readFileSync(file, "utf8").match(/ # /g)?.length).toBeGreaterThan(10);
    const checked = await told(check, ["check", "--simulated", "--config", file, "--data", folder]);
    expect(checked.out).toMatch(/All \d+ checks passed/);
    expect(checked.status).toBe(0);
  });

  it("never writes over a config without being told, and keeps the one before", async () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    writeFileSync(file, "# mine\n");
    const refused = await byAnswers(folder);
    expect(refused).toMatchObject({ status: 2 });
    expect(refused.problems[0]).toMatch(/--config: expected a new file, or --replace, got .*, which is there/);
    expect(readFileSync(file, "utf8")).toBe("# mine\n");
    expect((await byAnswers(folder, ANSWERS, "--replace")).out).toContain(`Before:  ${file}.before-init`);
    expect(readFileSync(`${file}.before-init`, "utf8")).toBe("# mine\n");
  });

  it.each([
    [
      "toroids",
      ANSWERS.replace("toroids = 3", 'toroids = "many"'),
      'toroids: expected a whole number from 1 to 20, got "many"',
    ],
    [
      "mix",
      ANSWERS.replace('mix = "43"\n', ""),
      "mix: expected one of 31, 43, 52, 61, or a .csv file of your own, got nothing",
    ],
    ["inlet", ANSWERS.replace("0x48", "0x77"), "inlet: expected a number or place of the list"],
    ["nme", `${ANSWERS}nme = "x"\n`, 'nme: expected one asked for; the nearest is "name"'],
  ])("refuses an answer for %s that will not do, and writes nothing", async (_key, text, line) => {
    const folder = testFolder();
    const { status, problems } = await byAnswers(folder, text);
    expect(problems.join("\n")).toContain(line);
    expect(status).toBe(2);
    expect(readdirSync(folder)).toEqual(["answers.toml"]);
  });

  it("a folder that is not there is told before anything is asked", async () => {
    const folder = testFolder();
    const words = ["init", "--simulated", "--answers", answersIn(folder, ANSWERS)];
    const { status, out, problems } = await told(register, [...words, "--config", join(folder, "no/such.toml")]);
    expect(problems[0]).toContain("--config: expected a file in a folder that can be written");
    expect({ status, out }).toEqual({ status: 2, out: "" });
  });
});

const EXTRAS = `extras = ["buzzer", "fan_cut", "mqtt", "ptt", "pulse", "rig"]
buzzer = 18
ptt_keyed = "high"
rig_port = 4533
mqtt_broker = "mqtts://broker.example.org"
mqtt_user = "orchard"
mqtt_password_file = "FOLDER/secret"
`;

describe("what else is fitted", () => {
  it("is in the file, with the pins of the drawings where nothing else was said, and check passes what hangs on the board", async () => {
    const folder = testFolder();
    writeFileSync(join(folder, "secret"), "orchard\n");
    expect(await byAnswers(folder, ANSWERS + EXTRAS.replace("FOLDER", folder))).toMatchObject({ status: 0 });
    const file = join(folder, "emberwire.toml");
    const { config } = readConfigFile(file);
    expect(config).toMatchObject({
      relay: { pulse: { headerPin: 22 } },
      fan_cut: { line: { headerPin: 13 } },
      fan: { power_cycle: { attempts: 3 } },
      ptt: { line: { headerPin: 15 }, keyed: "high" },
      buzzer: { line: { offset: 18 } },
      rig: { host: "127.0.0.1", port: 4533 },
      mqtt: { broker: "mqtts://broker.example.org", user: "orchard", password_file: `${folder}/secret` },
    });
    // Neither rig nor broker is here.
    const { out } = await told(check, ["check", "--simulated", "--config", file, "--data", folder]);
    expect([...out.matchAll(/^BAD +(\S+)/gm)].map(([, what]) => what)).toEqual(["rig", "mqtt"]);
    for (const part of ["ptt", "buzzer", "fan_cut", "pulse"]) expect(out).toMatch(new RegExp(`^ok +${part} `, "m"));
  });
});

describe("typed into the program", () => {
  it("a finger tells inlet from outlet, a wrong answer is asked again, and the rest is as with a file", async () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    // Two fingers; wall and ambient; pulses, tach, speed, supply; lines; monitor with shunt, detector; transformer; limits; place.
    const typed = ["", "", "wall", "ambient", "", "", "", "", "pin 16", "pin 16", "", "", "", ""];
    const rest = ["43", "many", "3", "", "3", "", "", "", "", "Orchard gate", "400ft", ""];
    const lines = `${[...typed, ...rest].join("\n")}\n`;
    const { out, status, complaints } = await runProgramTyping(lines, "init", "--simulated", "--config", file);
    expect(complaints).toEqual([]);
    expect(status).toBe(0);
    expect(out).toMatch(/i2c-1 0x48 rose by \d\.\d K: it is the inlet/);
    expect(out).toMatch(/i2c-1 0x49 rose by \d\.\d K: it is the outlet/);
    expect(out).toContain("Expected something other than relay.reduce has, got line 23 of the header's chip");
    expect(out).toContain('Expected a whole number from 1 to 20, got "many"');
    const { config } = readConfigFile(file);
    expect(config.sensor.map(({ role, address }) => [role, address])).toEqual([
      ["inlet", 0x48],
      ["outlet", 0x49],
      ["wall", 0x18],
      ["ambient", 0x44],
    ]);
    expect(config.relay).toBeDefined();
    const checked = await told(check, ["check", "--simulated", "--config", file, "--data", folder]);
    expect(checked.status).toBe(0);
  });

  it("Ctrl-C ends it at once, also while it waits for a finger, and nothing is written", async () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    const session = atPty("init", "--simulated", "--config", file);
    await session.until("choose)");
    session.type("\r");
    await session.until("Now hold a finger");
    session.type("\u0003");
    expect(await session.end()).toContain("Nothing was written.");
    expect(readdirSync(folder)).toEqual([]);
  });

  it("answers that end too soon write nothing, and say so", async () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    const ended = await runProgramTyping("", "init", "--simulated", "--config", file);
    expect(ended.status).toBe(1);
    expect(ended.complaints).toEqual(["emberwire: the answers ended before the last question; nothing was written"]);
    expect(existsSync(file)).toBe(false);
    expect(readdirSync(folder)).toEqual([]);
  });
});
