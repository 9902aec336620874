// What the rig says, on its whole road through real processes: rigctld → link → heartbeat → page, record and log.

import { describe, expect, it, onTestFinished } from "vitest";
import { testFolder } from "../support/folder.ts";
import { ScriptedRig } from "../support/scripted-rig.ts";
import { runProgram } from "../support/told-program.ts";
import { Rigctld } from "./rigctld.ts";
import { checkOf, configWith, frameOf, started, tagsOf, until } from "./shack.ts";

describe("what the rig says", () => {
  it("is the band, mode and key on the page, and in the log's columns; without the rig nothing of it is left standing", async () => {
    const folder = testFolder();
    const rigctld = await Rigctld.start();
    await rigctld.operate({ hertz: 7_030_000, mode: "CW", power: 0.4 });
    const config = configWith(folder, rigctld.port, "factor = 10\n");
    const daemon = await started(folder, config);
    await until(async () => {
      expect(await frameOf(daemon)).toMatchObject({ band: "40 m", mode: "CW", transmitting: false });
    });
    await rigctld.operate({ hertz: 3_650_000, mode: "USB", keyed: true });
    await until(async () => {
      expect(await frameOf(daemon)).toMatchObject({ band: "80 m", mode: "SSB", transmitting: true });
    });
    await until(async () => {
      const { drive_sources } = await checkOf(daemon);
      expect(drive_sources.map(({ name }) => name)).toEqual(["detector", "rig meter", "PTT line", "rig"]);
      expect(drive_sources.every(({ transmitting }) => transmitting !== false)).toBe(true);
    });

    await rigctld.stop();
    await until(async () => {
      expect(await frameOf(daemon)).toMatchObject({ band: null, mode: null });
      expect((await checkOf(daemon)).rig).toMatchObject({ trouble: "nothing listens there", power_ratio: null });
      expect(await tagsOf(daemon)).toContain("rig_link_lost");
    });
    await rigctld.begin();
    await rigctld.operate({ hertz: 14_030_000, mode: "RTTY" });
    await until(async () => {
      expect(await frameOf(daemon)).toMatchObject({ band: "20 m", mode: "RTTY" });
      expect((await checkOf(daemon)).rig?.trouble).toBeNull();
      expect((await tagsOf(daemon)).slice(-2)).toContain("rig_link_back");
    });

    expect(await daemon.stop()).toBe(0);
    // Simulated time runs ahead of the calendar.
    const { out } = await runProgram(
      "export",
      "--simulated",
      "--data",
      folder,
      "--config",
      config,
      "--every",
      "1s",
      "--to",
      "2100-01-01",
    );
    const [head = "", ...rows] = out.trim().split(/\r?\n/);
    const at = (name: string): number => head.split(",").findIndex((column) => column.startsWith(name));
    const heard = new Set(rows.map((row) => `${row.split(",")[at("frequency")]} ${row.split(",")[at("mode")]}`));
    for (const one of ["7030000 CW", "3650000 SSB", "14030000 RTTY"]) expect([...heard]).toContain(one);
  });

  it("is looked for by check, which says what to do where nobody answers", async () => {
    const folder = testFolder();
    const rigctld = await Rigctld.start();
    await rigctld.operate({ hertz: 3_650_000, mode: "CW", power: 0.5 });
    const config = configWith(folder, rigctld.port);
    const words = ["check", "--simulated", "--config", config, "--data", folder];
    const well = await runProgram(...words);
    expect(well.out).toContain(`ok    rig (127.0.0.1:${rigctld.port}): 3.6500 MHz, CW, not keyed, power set to 50 %`);
    await rigctld.stop();
    const gone = await runProgram(...words);
    expect(gone.status).toBe(1);
    expect(gone.out).toContain(`BAD   rig (127.0.0.1:${rigctld.port}): nothing listens there`);
    expect(gone.out).toContain("Start rigctld beside the rig");
  });

  it("may be any rubbish without a cycle being late for it", async () => {
    const rig = new ScriptedRig((_, socket) => {
      socket.write("x".repeat(1_000_000));
    });
    onTestFinished(() => rig.close());
    const { port } = await rig.listen();
    const folder = testFolder();
    const daemon = await started(folder, configWith(folder, port), 1);
    await until(async () => expect((await checkOf(daemon)).rig?.trouble).toBe("more than 2048 bytes"));
    await until(async () => expect(rig.connections).toBeGreaterThanOrEqual(2));
    const { at_seconds } = await frameOf(daemon);
    await until(async () => expect((await frameOf(daemon)).at_seconds).toBeGreaterThan(at_seconds + 2));
    expect(
      (await tagsOf(daemon)).filter((tag) => ["cycles_missed", "cycle-failed", "service-restart"].includes(tag)),
    ).toEqual([]);
  });
});
