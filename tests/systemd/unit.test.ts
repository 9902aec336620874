// The unit against what the daemon needs and what would break it, its neighbours against the unit, and the release step run
// by a real shell on files.
import { execFile } from "node:child_process";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { DEFAULT_PROTECTION } from "../../daemon/core/protect/settings.ts";
import { kernelTree } from "../support/kernel-tree.ts";

const FOLDER = fileURLToPath(new URL("../../systemd", import.meta.url));
const text = (name: string): string => readFileSync(join(FOLDER, name), "utf8");

/** Directives by name, each with all its values in order. */
function directives(unit: string): ReadonlyMap<string, readonly string[]> {
  const found = new Map<string, string[]>();
  for (const line of unit.split("\n")) {
    const match = /^([A-Za-z]+)=(.*)$/.exec(line);
    if (match?.[1] !== undefined) found.set(match[1], [...(found.get(match[1]) ?? []), match[2] ?? ""]);
  }
  return found;
}

const UNIT = directives(text("emberwire.service"));

describe("the unit", () => {
  it.each([
    ["Type", "notify"],
    ["NotifyAccess", "all"],
    ["Restart", "always"],
    ["StartLimitIntervalSec", "0"],
    ["NoNewPrivileges", "yes"],
    ["ProtectSystem", "strict"],
    ["CapabilityBoundingSet", ""],
  ])("says %s=%s", (name, value) => {
    expect(UNIT.get(name)).toEqual([value]);
  });

  // systemd.exec(5) says what each does: V8 needs writable code, and /dev without buses and lines is no use.
  it.each(["MemoryDenyWriteExecute", "PrivateDevices", "ProcSubset", "PrivateNetwork", "IPAddressDeny"])(
    "leaves out %s, which would break the daemon, and says why",
    (name) => {
      expect(UNIT.has(name)).toBe(false);
      expect(text("emberwire.service").split("# Left off, and why:")[1]).toContain(name);
    },
  );

  it("opens the drivers of buses and lines, and nothing else in /dev", () => {
    expect(UNIT.get("DevicePolicy")).toEqual(["closed"]);
    expect(UNIT.get("DeviceAllow")).toEqual(["char-i2c rw", "char-gpiochip rw"]);
  });

  it("bounds memory above the alarm's setpoint, and leaves both heaps room below the bound", () => {
    const mebibytes = Number(/^(\d+)M$/.exec(UNIT.get("MemoryMax")?.[0] ?? "")?.[1]);
    const heap = Number(/--max-old-space-size=(\d+) /.exec(UNIT.get("ExecStart")?.[0] ?? "")?.[1]);
    expect(mebibytes).toBeGreaterThan(DEFAULT_PROTECTION.alarms.residentBytes / 1024 / 1024);
    expect(2 * heap).toBeLessThan(mebibytes);
  });

  it("has a watchdog longer than a few cycles and shorter than a core needs to overheat", () => {
    const seconds = Number(UNIT.get("WatchdogSec")?.[0]);
    expect(seconds).toBeGreaterThanOrEqual(5);
    expect(seconds).toBeLessThanOrEqual(15);
  });

  it("releases the lines when the daemon has ended: first by the shell, then by the daemon's command", () => {
    const [shell, command] = UNIT.get("ExecStopPost") ?? [];
    expect(shell).toBe("/bin/sh /usr/lib/emberwire/systemd/release-lines.sh");
    expect(command).toMatch(/^-\/usr\/bin\/node \/usr\/lib\/emberwire\/dist\/daemon\/main\.js release --config /);
  });

  it("starts and releases with one and the same program and configuration", () => {
    const [start] = UNIT.get("ExecStart") ?? [];
    const release = UNIT.get("ExecStopPost")?.[1] ?? "";
    expect(release.replace(/^-/, "").replace(" release ", " run ")).toBe(
      start?.replace(/ --max-old-space-size=\d+/, ""),
    );
  });

  it("runs as the user, and in the groups, that sysusers makes", () => {
    const sysusers = text("emberwire.sysusers");
    const user = UNIT.get("User")?.[0];
    expect(sysusers).toMatch(new RegExp(`^u ${user} `, "m"));
    for (const group of UNIT.get("SupplementaryGroups")?.[0]?.split(" ") ?? []) {
      expect(sysusers).toMatch(new RegExp(`^g ${group} `, "m"));
      expect(sysusers).toMatch(new RegExp(`^m ${user} ${group}$`, "m"));
      expect(text("emberwire.rules")).toContain(`GROUP="${group}"`);
    }
  });

  it("lets the daemon read the folder of its configuration", () => {
    expect(text("emberwire.tmpfiles")).toMatch(/^d \/etc\/emberwire 0750 root emberwire$/m);
    expect(UNIT.get("ExecStart")?.[0]).toContain(" /etc/emberwire/");
  });
});

describe("release-lines.sh", () => {
  const value = (number: number): string => `/sys/class/gpio/gpio${number}/value`;
  const run = promisify(execFile);
  const release = (root: string) =>
    run("/bin/sh", [join(FOLDER, "release-lines.sh"), join(root, "/run/emberwire/outputs"), root]);

  it("writes 0 to every line on the list", async () => {
    const root = await kernelTree({
      [value(576)]: "1\n",
      [value(577)]: "1\n",
      [value(578)]: "1\n",
      "/run/emberwire/outputs": `${value(576)}\n${value(577)}\n`,
    });
    await release(root);
    const levels = await Promise.all([576, 577, 578].map((number) => readFile(join(root, value(number)), "utf8")));
    expect(levels).toEqual(["0\n", "0\n", "1\n"]);
  });

  it("goes on past a line that was given back", async () => {
    const root = await kernelTree({
      [value(577)]: "1\n",
      "/run/emberwire/outputs": `${value(576)}\n${value(577)}\n`,
    });
    await release(root);
    await expect(readFile(join(root, value(577)), "utf8")).resolves.toBe("0\n");
  });

  it("makes a line that the kernel freed an output that is low, and gives it back", async () => {
    const direction = "/sys/class/gpio/gpio576/direction";
    const root = await kernelTree({
      [direction]: "in\n",
      "/sys/class/gpio/export": "",
      "/sys/class/gpio/unexport": "",
      "/run/emberwire/outputs": `${direction}\n`,
    });
    await release(root);
    await expect(readFile(join(root, direction), "utf8")).resolves.toBe("low\n");
    await expect(readFile(join(root, "/sys/class/gpio/unexport"), "utf8")).resolves.toBe("576\n");
  });

  it("gives a line back that it could not release, says so, and goes on with the next", async () => {
    const [first, second] = [576, 577].map((number) => `/sys/class/gpio/gpio${number}/direction`) as [string, string];
    const root = await kernelTree({
      [second]: "in\n",
      "/sys/class/gpio/export": "",
      "/sys/class/gpio/unexport": "",
      "/run/emberwire/outputs": `${first}\n${second}\n`,
    });
    await expect(release(root)).rejects.toMatchObject({ code: 1 });
    await expect(readFile(join(root, "/sys/class/gpio/export"), "utf8")).resolves.toBe("576\n");
    await expect(readFile(join(root, second), "utf8")).resolves.toBe("low\n");
  });

  it("has nothing to do without a list", async () => {
    await expect(release(await kernelTree({ "/proc/version": "" }))).resolves.toMatchObject({ stdout: "", stderr: "" });
  });

  it("writes to nothing but values of lines, whatever the list says", async () => {
    const others = [
      "/etc/passwd",
      "/sys/class/gpio/gpio1/sub/direction",
      "/sys/class/gpio/export",
      "/sys/class/gpio/gpio1/../gpio2/value",
      "$(touch pwned)",
    ];
    const root = await kernelTree({
      "/etc/passwd": "root\n",
      "/sys/class/gpio/export": "untouched\n",
      [value(1)]: "1\n",
      [value(2)]: "1\n",
      "/run/emberwire/outputs": `${others.join("\n")}\n`,
    });
    await release(root);
    const left = ["/etc/passwd", "/sys/class/gpio/export", value(1), value(2)];
    const contents = await Promise.all(left.map((path) => readFile(join(root, path), "utf8")));
    expect(contents).toEqual(["root\n", "untouched\n", "1\n", "1\n"]);
  });

  it("reports a line that it cannot write, after it has released the others", async () => {
    const root = await kernelTree({
      [`${value(576)}/not-a-file`]: "",
      [value(577)]: "1\n",
      "/run/emberwire/outputs": `${value(576)}\n${value(577)}\n`,
    });
    await expect(release(root)).rejects.toMatchObject({ code: 1 });
    await expect(readFile(join(root, value(577)), "utf8")).resolves.toBe("0\n");
  });
});
