// The machine around the feedpoint, on trees of files and disks of its own: who may open the devices, the computer's own supply, and
// a disk that is full, read-only or not there.

import { execFileSync } from "node:child_process";
import { chmodSync, mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it, onTestFinished } from "vitest";
import { checkAccess, checkPower } from "../../daemon/checkup/access.ts";
import { checkDisk } from "../../daemon/checkup/machine.ts";
import { realBoard } from "../../hardware/board.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";
import { testFolder } from "../support/folder.ts";
import { kernelTree } from "../support/kernel-tree.ts";

const GID = process.getgid?.() ?? 0;
const isRoot = process.getuid?.() === 0;

async function access(group: string, mode = 0o660) {
  const root = await kernelTree({ "/dev/i2c-1": "", "/dev/gpiochip0": "", "/etc/group": group });
  for (const device of ["i2c-1", "gpiochip0"]) chmodSync(join(root, "dev", device), mode);
  return checkAccess(DEMO_SPEC, await realBoard({ root, outputRecord: null }), root);
}

describe("access", () => {
  it("is good where the devices are their groups'", async () => {
    expect(await access(`i2c:x:${GID}:\ngpio:x:${GID}:\n`)).toEqual([
      expect.objectContaining({ verdict: "good", says: "open to i2c and gpio" }),
    ]);
  });

  it("misses a group, and says what makes it", async () => {
    const [finding] = await access(`gpio:x:${GID}:\n`);
    expect(finding).toMatchObject({ place: "/dev/i2c-1", says: "there is no group i2c" });
    expect(finding?.remedy).toContain("systemd-sysusers");
  });

  it.each([
    [
      "another group's",
      `i2c:x:${GID + 1}:\ngpio:x:${GID + 1}:\nstaff:x:${GID}:\n`,
      0o660,
      "belongs to group staff with mode 660",
    ],
    ["closed to its group", `i2c:x:${GID}:\ngpio:x:${GID}:\n`, 0o600, "belongs to group i2c with mode 600"],
  ])("a device that is %s needs the udev rules", async (_name, group, mode, says) => {
    const findings = await access(group, mode);
    expect(findings.map(({ place }) => place)).toEqual(["/dev/i2c-1", "/dev/gpiochip0"]);
    expect(findings[0]?.says).toContain(says);
    expect(findings[0]?.remedy).toMatch(/60-emberwire\.rules.*udevadm trigger/);
  });

  it("has nothing to say of devices that are not there", async () => {
    const root = await kernelTree({ "/etc/group": "" });
    expect(await checkAccess(DEMO_SPEC, await realBoard({ root, outputRecord: null }), root)).toEqual([]);
  });
});

describe("the computer's supply", () => {
  const power = async (alarm: string) => {
    const files = { "/sys/class/hwmon/hwmon3/name": "rpi_volt\n", "/sys/class/hwmon/hwmon3/in0_lcrit_alarm": alarm };
    return checkPower(await realBoard({ root: await kernelTree(files), outputRecord: null }));
  };

  it("under-voltage is bad, and what to do about it", async () => {
    expect(await power("0\n")).toMatchObject([{ verdict: "good" }]);
    const [finding] = await power("1\n");
    expect(finding).toMatchObject({ what: "power", verdict: "bad" });
    expect(finding?.remedy).toMatch(/5\.1 V/);
  });

  it("a machine that does not tell is no finding", async () => {
    expect(await checkPower(await realBoard({ root: await kernelTree({}), outputRecord: null }))).toEqual([]);
  });
});

describe("the disk", () => {
  const disk = (options: string): string => {
    const mount = join(testFolder(), "disk");
    mkdirSync(mount);
    execFileSync("mount", ["-t", "tmpfs", "-o", options, "emberwire-test", mount]);
    onTestFinished(() => {
      execFileSync("umount", ["--lazy", mount]);
    });
    return mount;
  };

  it("a folder that is not there", () => {
    const folder = join(testFolder(), "none");
    expect(checkDisk(folder, 0.05)).toMatchObject({
      verdict: "bad",
      remedy: expect.stringContaining("Make the folder"),
    });
  });

  // Mounting needs root.
  it.runIf(isRoot)("one that is full", () => {
    const mount = disk("size=64k");
    expect(() => writeFileSync(join(mount, "ballast"), Buffer.alloc(1 << 20))).toThrow("ENOSPC");
    const { verdict, says, remedy } = checkDisk(mount, 0.05);
    expect(verdict).toBe("bad");
    expect(says).toContain("the disk is full");
    expect(remedy).toMatch(/Make room.*nothing is logged/);
  });

  it.runIf(isRoot)("one that is read-only", () => {
    const mount = disk("size=64k,ro");
    const { verdict, says, remedy } = checkDisk(mount, 0.05);
    expect(verdict).toBe("bad");
    expect(says).toContain("the disk is read-only");
    expect(remedy).toContain("worn out");
    expect(checkDisk(join(mount, "not/there"), 0.05).says).toContain("the disk is read-only");
  });

  it.runIf(isRoot)("one that is nearly full", () => {
    const mount = disk("size=1m");
    writeFileSync(join(mount, "ballast"), Buffer.alloc(1_000_000));
    expect(checkDisk(mount, 0.06)).toMatchObject({ verdict: "warning", remedy: expect.stringContaining("Make room") });
    expect(checkDisk(mount, 0.01)).toMatchObject({ verdict: "good" });
  });
});
