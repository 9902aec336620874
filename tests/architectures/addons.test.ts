// The native addons of every package as `readelf` reads them: for the right machine, and asking for nothing that the oldest Debian
// does not have on which a new enough Node runs.

import { mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, inject, it } from "vitest";
import { ADDON_OWNERS } from "../../systemd/package/addons.ts";
import type { ArchitectureName } from "../../systemd/package/architectures.ts";
import { exec } from "../../systemd/package/exec.ts";
import { NODE_VERSIONS } from "../../systemd/package/node-headers.ts";

/**
 * Of Debian 12: glibc 2.36, and the newest symbols in the libstdc++ of GCC 12 (packages libc6 and libstdc++6; the second by the
 * table of symbol versions in the libstdc++ manual, "ABI Policy and Guidelines"). Debian 13 has 2.41 and 3.4.33.
 */
const NEWEST = { GLIBC: "2.36", GLIBCXX: "3.4.30" } as const;

/**
 * Words of `readelf -h`. Debian's armhf is ARMv7 with floating-point numbers in VFP registers (Debian's ArmHardFloatPort; the flag
 * EF_ARM_ABI_FLOAT_HARD of "ELF for the Arm Architecture").
 */
const MACHINE: Readonly<Record<ArchitectureName, readonly RegExp[]>> = {
  amd64: [/Class: +ELF64/, /Machine: +Advanced Micro Devices X86-64/],
  arm64: [/Class: +ELF64/, /Machine: +AArch64/],
  armhf: [/Class: +ELF32/, /Machine: +ARM\n/, /Flags: .*Version5 EABI, hard-float ABI/],
};

/** What the packages in Depends bring: libc6, libgcc-s1, libstdc++6. */
const LIBRARIES = /^(libc\.so\.6|libm\.so\.6|libgcc_s\.so\.1|libstdc\+\+\.so\.6|ld-linux-[\w-]+\.so\.\d)$/;

/** -1, 0 or 1, number by number. */
function compare(a: string, b: string): number {
  return a.localeCompare(b, "en", { numeric: true });
}

const readelf = (flag: string, file: string): Promise<string> =>
  exec("readelf", ["--wide", flag, file], { deadlineSeconds: 20 });

describe.each(Object.keys(MACHINE) as ArchitectureName[])("the addons for %s", (name) => {
  let folder: string;
  let addons: readonly string[];

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "emberwire-addons-"));
    await exec("dpkg-deb", ["-x", inject("packages")[name], folder], { deadlineSeconds: 60 });
    const files = await readdir(folder, { recursive: true });
    addons = files.filter((file) => file.endsWith(".node")).map((file) => join(folder, file));
  });

  afterAll(() => rm(folder, { recursive: true, force: true }));

  it("are one of each owner for each release line of Node, and koffi's", () => {
    expect(addons).toHaveLength(ADDON_OWNERS.length * NODE_VERSIONS.length + 1);
  });

  it("are for this machine", async () => {
    for (const file of addons)
      for (const words of MACHINE[name]) expect(await readelf("-h", file), file).toMatch(words);
  });

  it("need only libraries that the package depends on", async () => {
    for (const file of addons) {
      const needed = [...(await readelf("-d", file)).matchAll(/\(NEEDED\).*\[(.+)\]/g)].map(([, library]) => library);
      expect(needed, file).toContain("libc.so.6");
      for (const library of needed) expect(library, file).toMatch(LIBRARIES);
    }
  });

  it("need nothing younger than Debian 12 has, and the package says what", async () => {
    const told = (await Promise.all(addons.map((file) => readelf("-V", file)))).join("");
    for (const [library, newest] of Object.entries(NEWEST)) {
      const versions = [...told.matchAll(new RegExp(`\\b${library}_([\\d.]+)`, "g"))].map(([, version]) => version!);
      const youngest = versions.toSorted(compare).at(-1)!;
      expect(compare(youngest, newest), `${library} ${youngest}`).toBeLessThanOrEqual(0);
      if (library !== "GLIBC") continue;
      const depends = await exec("dpkg-deb", ["-f", inject("packages")[name], "Depends"], { deadlineSeconds: 20 });
      expect(depends).toContain(`libc6 (>= ${youngest})`);
    }
  });
});
