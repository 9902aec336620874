// `check` on the simulated feedpoint and on one that is not there.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { register } from "../../daemon/commands/check.ts";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import { DEMO_MODEL } from "../../daemon/demo-model.ts";
import { BadNews } from "../../daemon/exit.ts";
import { acceptedModelFile, logFile } from "../../daemon/folder.ts";
import type { Letter } from "../../daemon/outputs/notices/notice.ts";
import { takeLock } from "../../daemon/season/lock.ts";
import { testFolder } from "../support/folder.ts";
import { hookBox } from "../support/letter-boxes.ts";
import { told } from "./told.ts";

describe("the simulated feedpoint", () => {
  it("is well: every part with its identity and a reading", async () => {
    const { out, status } = await told(register, ["check", "--data", testFolder(), "--json"]);
    const { good, simulated, findings } = JSON.parse(out) as {
      readonly good: boolean;
      readonly simulated: boolean;
      readonly findings: readonly { readonly what: string; readonly verdict: string; readonly says: string }[];
    };
    expect({ good, simulated, status }).toEqual({ good: true, simulated: true, status: 0 });
    const says = (what: string) => findings.find((finding) => finding.what === what)?.says ?? "";
    expect(says("inlet")).toMatch(/^TMP117.*: \d+\.\d\d °C$/);
    expect(says("tachometer")).toMatch(/\d+ rpm/);
    expect(says("relay")).toMatch(/^both lines read back released/);
    expect(says("disk")).toMatch(/GB free/);
    expect(findings.map(({ what }) => what)).toEqual(expect.arrayContaining(["config", "bus", "clock", "database"]));
  });

  it("says it in words that end with a verdict", async () => {
    const { out } = await told(register, ["check", "--data", testFolder()]);
    expect(out).toMatch(/^ok {4}config/m);
    expect(out).toMatch(/All \d+ checks passed on the simulated feedpoint/);
  });
});

describe("what the daemon would refuse", () => {
  const refused = async (folder: string, text: string): Promise<readonly string[]> => {
    const file = join(folder, "emberwire.toml");
    writeFileSync(file, text);
    const { status, problems } = await told(register, ["check", "--simulated", "--config", file, "--data", folder]);
    expect(status).toBe(2);
    return problems;
  };

  it("is refused here: a factor for a band that there is not", async () => {
    const problems = await refused(testFolder(), `${DEMO_CONFIG}[rig]\nfactors = { "81 m" = 3 }\n`);
    expect(problems).toEqual([expect.stringContaining('rig.factors.81 m: expected a band; the nearest is "80 m"')]);
  });

  it("is refused here: the model that was accepted for another transformer, with what to do", async () => {
    const folder = testFolder();
    writeFileSync(acceptedModelFile(folder, true), DEMO_MODEL);
    const problems = await refused(folder, DEMO_CONFIG.replace("toroids = 3", "toroids = 4"));
    expect(problems).toEqual([expect.stringMatching(/simulated-model.toml: band: .* move this file away/)]);
  });
});

describe("notices", () => {
  it("are sent as a test on request, and only then; a far side that refuses is bad news in its own words", async () => {
    const folder = testFolder();
    const hook = await hookBox();
    writeFileSync(join(folder, "secret"), "orchard\n");
    const file = join(folder, "emberwire.toml");
    writeFileSync(file, `${DEMO_CONFIG}[notices.webhook]\nurl = "${hook.url}"\nsecret_file = "${folder}/secret"\n`);
    const line = ["check", "--simulated", "--config", file, "--data", folder];
    const quiet = await told(register, line);
    expect(quiet.out).toMatch(/^ok {4}notices \(webhook\): configured/m);
    expect(hook.posts).toHaveLength(0);
    const sent = await told(register, [...line, "--send-notice"]);
    expect(sent.out).toMatch(/^ok {4}notices \(webhook\): the far side took a test notice/m);
    expect(hook.posts.map(({ body }) => (JSON.parse(body) as Letter).notices[0]?.tag)).toEqual(["TEST"]);
    await hook.close();
    const refused = await told(register, [...line, "--send-notice"]);
    expect(refused.status).toBe(1);
    expect(refused.out).toMatch(/^BAD {3}notices \(webhook\): \S.*\n {6}Compare host/m);
  });

  it("asked for and not configured are bad news", async () => {
    const { out, status } = await told(register, ["check", "--data", testFolder(), "--send-notice"]);
    expect(status).toBe(1);
    expect(out).toMatch(/^BAD {3}notices \(config\): none are configured/m);
  });
});

describe("bad news", () => {
  it("hardware that is not there is named part by part, with what to do", async () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    const sensor = '[[sensor]]\nname = "air"\nrole = "inlet"\nhwmon = "/sys/class/hwmon/hwmon77/temp1_input"\n';
    const other = sensor.replace("air", "out").replace("inlet", "outlet").replace("hwmon77", "hwmon78");
    writeFileSync(
      file,
      `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n[tach]\nfitted = false\n${sensor}${other}`,
    );
    const { out, status } = await told(register, ["check", "--config", file, "--data", folder]);
    expect(status).toBe(1);
    expect(out).toMatch(/^BAD {3}air .*\n {6}\S/m);
    expect(out).toMatch(/^mind {2}relay .*nothing takes the power off/m);
    expect(out).toMatch(/2 of \d+ checks failed\./);
  });

  it("beside a running daemon it looks at nothing: opening the relay would take it away", async () => {
    const folder = testFolder();
    const lock = takeLock(logFile(folder, true));
    await expect(told(register, ["check", "--data", folder])).rejects.toThrow(BadNews);
    lock.close();
  });
});
