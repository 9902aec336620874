// The wire-drop command: keys and figures, units, a line too thin for its load, wrong flags.
import { describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/wire-drop.ts";
import { told } from "./told.ts";

const asked = (...more: string[]) =>
  told(register, ["wire-drop", "--length", "30m", "--current", "0.1A", "--supply", "12V", ...more]);

describe("wire-drop", () => {
  it("prints the design's keys, both conductors counted", async () => {
    const { out, status } = await asked("--awg", "24", "--json");
    const answer = JSON.parse(out);
    expect(status).toBe(0);
    expect(Object.keys(answer)).toEqual(["resistance_ohms", "drop_volts", "fan_volts"]);
    expect(answer.resistance_ohms).toBeCloseTo(2 * 30 * 0.0842, 2);
    expect(answer.drop_volts).toBeCloseTo(answer.resistance_ohms * 0.1, 12);
    expect(answer.fan_volts).toBeCloseTo(12 - answer.drop_volts, 12);
  });

  it("is the same in feet, in millimetres and by diameter, and warmer wire drops more", async () => {
    const drop = async (...flags: string[]): Promise<number> =>
      JSON.parse((await asked("--json", ...flags)).out).drop_volts;
    const meters = await drop("--awg", "24");
    expect(await drop("--awg", "24", "--length", "98.4252ft")).toBeCloseTo(meters, 6);
    expect(await drop("--diameter", "0.51054mm")).toBeCloseTo(meters, 4);
    expect(await drop("--awg", "24", "--temperature", "60C")).toBeCloseTo(meters * (1 + 0.00393 * 40), 9);
    expect(await drop("--awg", "2/0")).toBeLessThan(await drop("--awg", "1/0"));
  });

  it("calls a fan that gets less than nine tenths bad news, and never shows a negative voltage", async () => {
    const weak = await asked("--awg", "30", "--current", "0.5A");
    expect(weak.status).toBe(1);
    expect(weak.out).toContain("runs slow");
    const dead = await asked("--awg", "40", "--current", "2A", "--json");
    expect(JSON.parse(dead.out).fan_volts).toBe(0);
    expect((await asked("--awg", "40", "--current", "2A")).out).toContain("cannot carry");
  });

  it.each([
    [["--awg", "99"], 'command line: --awg: expected a number from 0 to 50, got "99"'],
    [[], "command line: --awg: expected either --awg or --diameter, got neither"],
    [["--awg", "24", "--diameter", "1mm"], "expected either --awg or --diameter, got both"],
    [["--awg", "24", "--length", "-3m"], 'command line: --length: expected a length from 0 to 10000 m, got "-3m"'],
    [["--awg", "24", "--supply", "12A"], "command line: --supply: expected a voltage"],
  ])("refuses %j in one line", async (flags, line) => {
    const { problems, status } = await asked(...flags);
    expect(status).toBe(2);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(line);
  });

  it("shows an example in its help", async () => {
    expect((await told(register, ["wire-drop", "--help"])).out).toContain("  emberwire wire-drop --awg 24");
  });
});
