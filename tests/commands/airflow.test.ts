// The airflow command: keys and figures, the fan's operating point, exit status when the fan is too small, wrong flags.
import { describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/airflow.ts";
import { told } from "./told.ts";

const asked = (...more: string[]) => told(register, ["airflow", "--heat", "100W", "--rise", "8K", ...more]);

describe("airflow", () => {
  it("prints the design's keys", async () => {
    const { out, status } = await asked("--json");
    const answer = JSON.parse(out);
    expect(status).toBe(0);
    expect(Object.keys(answer).slice(0, 2)).toEqual(["airflow_cubic_meters_per_second", "airflow_cfm"]);
    expect(answer.airflow_cubic_meters_per_second / answer.airflow_cfm).toBeCloseTo(0.3048 ** 3 / 60, 12);
    // Q/(ρ·c_p·ΔT) with dry air of 20 °C: 1.2041 kg/m³ and 1006 J/(kg·K).
    expect(answer.airflow_cubic_meters_per_second).toBeCloseTo(100 / (1.2041 * 1006 * 8), 6);
    expect(answer.operating_point).toBeNull();
  });

  it("asks for more of thin, warm air", async () => {
    const low = JSON.parse((await asked("--json")).out).airflow_cfm;
    const high = JSON.parse((await asked("--json", "--altitude", "300m", "--inlet", "30C")).out).airflow_cfm;
    expect(high / low).toBeGreaterThan(1.06);
    expect(high / low).toBeLessThan(1.09);
    const humid = JSON.parse((await asked("--json", "--inlet", "86F", "--humidity", "90%")).out);
    expect(humid.air_density_kilograms_per_cubic_meter).toBeLessThan(1.16);
  });

  it("takes °F differences as differences", async () => {
    const kelvin = JSON.parse((await asked("--json")).out).airflow_cfm;
    const line = ["airflow", "--heat", "100W", "--rise", "14.4F", "--json"];
    expect(JSON.parse((await told(register, line)).out).airflow_cfm).toBeCloseTo(kelvin, 9);
  });

  it("finds the fan's operating point, and calls a fan that is too small bad news", async () => {
    const { out, status } = await asked("--json", "--fan-cfm", "12", "--vents", "3x25mm");
    const { operating_point: point } = JSON.parse(out);
    expect(status).toBe(1);
    expect(point.share_of_free_delivery).toBeGreaterThan(0.5);
    expect(point.share_of_free_delivery).toBeLessThan(0.75);
    expect(point.airflow_low_cubic_meters_per_second).toBeLessThan(point.airflow_cubic_meters_per_second);
    expect(point.airflow_high_cubic_meters_per_second).toBeGreaterThan(point.airflow_cubic_meters_per_second);
    expect(point.rise_kelvin).toBeGreaterThan(8);
    expect((await asked("--fan-cfm", "60", "--vents", "12")).status).toBe(0);
    const known = JSON.parse((await asked("--json", "--fan-cfm", "12", "--vents", "3", "--fan-pressure", "125Pa")).out);
    expect(known.operating_point.airflow_low_cubic_meters_per_second).toBe(
      known.operating_point.airflow_cubic_meters_per_second,
    );
  });

  it("falls back on common practice without vents, and says so", async () => {
    const people = await asked("--fan-cfm", "5.66l/s");
    expect(people.out).toContain("common practice");
    const { operating_point: point } = JSON.parse((await asked("--json", "--fan-cfm", "5.66l/s")).out);
    expect(point.airflow_cubic_meters_per_second).toBeCloseTo(0.6 * 0.00566, 9);
    const slow = JSON.parse((await asked("--json", "--fan-cfm", "5.66l/s", "--fan-speed", "50%")).out);
    expect(slow.operating_point.airflow_cubic_meters_per_second).toBeCloseTo(0.3 * 0.00566, 9);
  });

  it.each([
    [["--rise", "0K"], 'command line: --rise: expected a temperature difference from 0.1 to 300 K, got "0K"'],
    [["--humidity", "80"], 'command line: --humidity: expected a share from 0 to 1, got "80"'],
    [["--altitude", "9 miles"], "command line: --altitude: expected a length such as 30m or 100ft"],
    [["--vents", "3"], "command line: --vents: expected --fan-cfm beside it, got no fan"],
    [
      ["--fan-cfm", "12", "--vents", "some"],
      'command line: --vents: expected vents such as 3x25mm, or their number, got "some"',
    ],
    [["--fan-cfm", "0"], "command line: --fan-cfm: expected an airflow"],
  ])("refuses %j in one line", async (flags, line) => {
    const { problems, status, out } = await asked(...flags);
    expect([status, out]).toEqual([2, ""]);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(line);
  });

  it("shows examples in its help", async () => {
    expect((await told(register, ["airflow", "--help"])).out).toContain("  emberwire airflow --heat 100W --rise 8K");
  });
});
