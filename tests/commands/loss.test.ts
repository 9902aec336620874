// The loss command: keys and figures of its JSON, words for people, one line for every wrong flag.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/loss.ts";
import { told } from "./told.ts";

const folder = mkdtempSync(join(tmpdir(), "emberwire-loss-"));
afterAll(() => rmSync(folder, { recursive: true }));

const asked = (...more: string[]) =>
  told(register, [
    "loss",
    ...["--mix", "43", "--toroids", "3", "--turns", "3", "--frequency", "3.6MHz", "--drive", "1.5kW"],
    ...more,
  ]);

describe("loss", () => {
  it("prints the design's keys in JSON, with the core alone while the winding is not given", async () => {
    const { out, status } = await asked("--json");
    expect(status).toBe(0);
    const answer = JSON.parse(out);
    expect(Object.keys(answer).slice(0, 4)).toEqual([
      "loss_watts",
      "loss_fraction",
      "flux_density_tesla",
      "impedance_ohms",
    ]);
    expect(answer.loss_watts).toBeCloseTo(1500 * answer.loss_fraction, 9);
    expect(answer.loss_fraction).toBeCloseTo(
      50 * (answer.impedance_ohms.real / (answer.impedance_ohms.real ** 2 + answer.impedance_ohms.imaginary ** 2)),
      12,
    );
    expect(answer.copper_loss_watts).toBeNull();
    expect(answer.loss_fraction_beside_load).toBeCloseTo(answer.loss_fraction / (1 + answer.loss_fraction), 12);
  });

  it("adds the copper once wire and secondary are given, and says the kilovolts with their caution", async () => {
    const bare = JSON.parse((await asked("--json")).out);
    const wound = JSON.parse((await asked("--json", "--wire", "14", "--secondary-turns", "21")).out);
    expect(wound.loss_watts).toBeCloseTo(bare.loss_watts + wound.copper_loss_watts, 9);
    expect(wound.copper_loss_watts).toBeGreaterThan(0.2);
    expect(wound.copper_loss_watts).toBeLessThan(3);
    const people = await asked("--wire", "1.6mm", "--secondary-turns", "21");
    expect(people.out).toMatch(/secondary +1\.92 kV rms, 2\.71 kV peak/);
    expect(people.out).toContain("burns deeply");
  });

  it("bounds the loss by the SWR and takes a known load as it is", async () => {
    const matched = JSON.parse((await asked("--json")).out);
    const swr = JSON.parse((await asked("--json", "--swr", "2")).out);
    expect(swr.core_loss_high_watts).toBeCloseTo(2 * matched.core_loss_watts, 9);
    expect(swr.core_loss_low_watts).toBeCloseTo(matched.core_loss_watts / 2, 9);
    const load = JSON.parse((await asked("--json", "--load-resistance", "40", "--load-reactance=-30")).out);
    expect(load.core_loss_watts / matched.core_loss_watts).toBeCloseTo((40 * 40 + 30 * 30) / 40 / 50, 9);
  });

  it("estimates the wire's end beside the secondary", async () => {
    const answer = JSON.parse((await asked("--json", "--secondary-turns", "21")).out);
    expect(answer.secondary_volts).toBeCloseTo(Math.sqrt(1500 * 50) * 7, 6);
    expect(answer.wire_end_volts).toBeGreaterThan(1500);
    expect(answer.cautions.join(" ")).toContain("Kilovolts");
    expect((await asked("--secondary-turns", "21")).out).toMatch(/wire's end +about \d\.\d kV/);
    expect(JSON.parse((await asked("--json")).out).wire_end_volts).toBeNull();
  });

  it("answers for every band that the table reaches", async () => {
    const line = ["loss", "--mix", "52", "--toroids", "3", "--turns", "3", "--bands", "--drive", "100W"];
    const { bands, cautions } = JSON.parse((await told(register, [...line, "--json"])).out);
    expect(bands.map((row: { band: string }) => row.band)).toContain("160 m");
    expect(bands).toHaveLength(11);
    const single = await told(register, [
      ...["loss", "--mix", "52", "--toroids", "3", "--turns", "3", "--drive", "100W", "--json"],
      ...["--frequency", String(bands[3].frequency_hertz)],
    ]);
    expect(JSON.parse(single.out).loss_watts).toBe(bands[3].loss_watts);
    expect(bands.map((row: { bridges_table_gap: boolean }) => row.bridges_table_gap).indexOf(true)).toBe(0);
    expect(cautions[0]).toContain("a figure with *");
    const people = (await told(register, line)).out;
    expect(people).toMatch(/^160 m +1\.9 +[\d.]+ \* /m);
    expect(people).toMatch(/^40 m /m);
  });

  it("bridges the gap of mix 52 aloud", async () => {
    const line = ["loss", "--mix", "52", "--toroids", "2", "--turns", "3", "--frequency", "1.9MHz", "--drive", "100W"];
    expect((await told(register, line)).out).toContain("no published points between 0.96 and 3 MHz");
    const clear = await told(register, line.with(8, "7.1MHz"));
    expect(clear.out).not.toContain("no published points");
  });

  it("takes an operator's own table and mixed sizes", async () => {
    const file = join(folder, "bench.csv");
    writeFileSync(file, "frequency_hertz,mu_real,mu_imaginary\n1e6,800,60\n10e6,260,220\n");
    const own = await told(register, [
      "loss",
      ...["--mix", file, "--toroid", "240,140", "--turns", "2", "--frequency", "7MHz", "--drive", "100"],
    ]);
    expect(own.status).toBe(0);
    expect(own.out).toContain("2 × mix bench, 2 turns");
    writeFileSync(file, "frequency_hertz,mu_real,mu_imaginary\n1e6,800,-60\n1e6,260,x\n");
    const wrong = await told(register, ["loss", "--mix", file, "--turns", "2", "--frequency", "7MHz", "--drive", "1"]);
    expect(wrong.status).toBe(2);
    expect(wrong.problems).toEqual([
      `${file}:2: mu_imaginary: expected a number, 0 or above, got -60`,
      `${file}:3: mu_imaginary: expected a number, 0 or above, got x`,
    ]);
  });

  it("calls a core at its Curie point bad news", async () => {
    const { out, status } = await asked("--core", "130C");
    expect(status).toBe(1);
    expect(out).toContain("Curie point");
    expect((await asked("--core", "100C")).status).toBe(0);
  });

  it.each([
    [
      ["--frequency", "100MHz"],
      "command line: --frequency: expected frequency for mix 43 in Hz from 300000 to 62200000, got 100000000",
    ],
    [
      ["--frequency", "3.6MW"],
      'command line: --frequency: expected a frequency such as 3.6MHz (units Hz, kHz, MHz, GHz), got "3.6MW"',
    ],
    [["--bands"], "command line: --frequency: expected either --frequency or --bands, got both"],
    [["--drive", "lots"], 'command line: --drive: expected a power such as 100W or 1.5kW, got "lots"'],
    [["--turns", "2.5"], 'command line: --turns: expected a whole number from 1 to 1000, got "2.5"'],
    [["--mix", "44"], 'command line: --mix: expected one of 31, 43, 52, 61, or a .csv file of your own, got "44"'],
    [["--mix", "none.csv"], "command line: --mix: expected a file that can be read, got none.csv (there is none)"],
    [["--toroid", "10x20x30mm"], 'got "10x20x30mm"'],
    [["--swr", "0.5"], 'command line: --swr: expected a number from 1 to 100, got "0.5"'],
    [["--swr", "2", "--load-resistance", "40"], "expected either --swr or --load-resistance, got both"],
    [["--wire", "AWG14"], '--wire: expected an AWG number such as 14, or a diameter such as 1.6mm, got "AWG14"'],
    [["--load-reactance", "40"], "expected --load-resistance beside it, got no resistance"],
    [["--toroids", "2", "--toroid", "240,240,140"], "expected as many as sizes are listed (3), or left out, got 2"],
  ])("refuses %j in one line", async (flags, line) => {
    const { problems, status, out } = await asked(...flags);
    expect(status).toBe(2);
    expect(out).toBe("");
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(line);
    expect(problems[0]).not.toContain("\n");
  });

  it("shows an example in its help", async () => {
    const { out, status } = await told(register, ["loss", "--help"]);
    expect(status).toBe(0);
    expect(out).toContain("  emberwire loss --mix 43");
  });
});
