// systemd's own judgement of the unit. It reads files and starts nothing, so it needs no running systemd.
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { exec } from "../../systemd/package/exec.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";

const SYSTEMD = fileURLToPath(new URL("../../systemd", import.meta.url));

/** What the project asks for; 0 is least exposed, 10 is most. Without a sandbox a service has 9.6. */
const MOST_EXPOSURE = 2.0;

let root = "";

/** A root with the unit, and empty programs where its commands are: `verify` looks whether they exist. */
beforeAll(async () => {
  await installHostPackages("the test of the unit", ["systemd"], (line) => process.stdout.write(`${line}\n`));
  root = await mkdtemp(join(tmpdir(), "emberwire-unit-"));
  const unit = await readFile(join(SYSTEMD, "emberwire.service"), "utf8");
  // The machine that tests has its Node elsewhere, perhaps; true(1) stands in for it and for the shell.
  await writeFile(join(root, "emberwire.service"), unit.replaceAll("/usr/bin/node ", "/bin/true "));
});

afterAll(() => rm(root, { recursive: true, force: true }));

const security = (unit: string): Promise<string> =>
  exec("systemd-analyze", ["security", "--no-pager", "--offline=true", `--threshold=${MOST_EXPOSURE * 10}`, unit], {
    deadlineSeconds: 20,
  });

/** What it has to say, on either output; the manual pages that the unit names need not be on this machine. */
const verify = (name: string): Promise<string> =>
  exec("sh", ["-c", 'systemd-analyze verify --man=no "$1" 2>&1 || true', "sh", join(root, name)], {
    deadlineSeconds: 20,
  });

describe("systemd-analyze", () => {
  it(`finds the unit no more exposed than ${MOST_EXPOSURE}`, async () => {
    const report = await security(join(SYSTEMD, "emberwire.service"));
    const figure = Number(/Overall exposure level for emberwire.service: ([\d.]+)/.exec(report)?.[1]);
    expect(figure).toBeGreaterThan(0);
    expect(figure).toBeLessThanOrEqual(MOST_EXPOSURE);
  });

  it("would notice a sandbox that was taken away", async () => {
    const unit = await readFile(join(SYSTEMD, "emberwire.service"), "utf8");
    const bare = join(root, "bare.service");
    await writeFile(bare, unit.replaceAll(/^(SystemCall|Protect|Private|Capability).*$/gm, ""));
    await expect(security(bare)).rejects.toThrow(/status 1/);
  });

  it("verifies the unit without a word", async () => {
    await expect(verify("emberwire.service")).resolves.toBe("");
  });

  it("would notice a word that is no directive", async () => {
    const unit = await readFile(join(root, "emberwire.service"), "utf8");
    await writeFile(join(root, "typing-error.service"), unit.replace("ProtectHome=", "ProtectHomes="));
    await expect(verify("typing-error.service")).resolves.toContain("ProtectHomes");
  });
});
