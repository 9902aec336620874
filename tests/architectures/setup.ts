// Runs once before the scenarios: builds this checkout's package for every architecture, and the emulated clean roots.

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { TestProject } from "vitest/node";
import { ARCHITECTURES, type ArchitectureName } from "../../systemd/package/architectures.ts";
import { buildPackage } from "../../systemd/package/build.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { baseArchive } from "../package/clean-root.ts";
import { EMULATION_PACKAGES, Emulation } from "../package/emulation.ts";

declare module "vitest" {
  export interface ProvidedContext {
    readonly packages: Readonly<Record<ArchitectureName, string>>;
    readonly rootsCache: string;
  }
}

/** Debian 12 names. */
const HOST_PACKAGES = ["mmdebstrap", "binutils", "lintian", ...EMULATION_PACKAGES];

/** Those that this machine does not have, but a Raspberry Pi. */
const EMULATED = ["arm64", "armhf"] as const;

export default async function setup(project: TestProject): Promise<void> {
  const checkout = fileURLToPath(new URL("../..", import.meta.url));
  const rootsCache = join(checkout, "tests/package/.cache");
  const began = performance.now();
  const say = (line: string): void => {
    process.stdout.write(`architectures, ${((performance.now() - began) / 1000).toFixed(1)} s: ${line}\n`);
  };
  await mkdir(rootsCache, { recursive: true });
  await installHostPackages("the packages' test", HOST_PACKAGES, say);
  const packages: Partial<Record<ArchitectureName, string>> = {};
  for (const architecture of Object.values(ARCHITECTURES)) {
    const built = await buildPackage(checkout, architecture, join(checkout, "dist/architectures"), say);
    packages[architecture.debian] = built.file;
  }
  await Promise.all(
    EMULATED.map(async (name) => {
      const emulation = await Emulation.begin(ARCHITECTURES[name]);
      await baseArchive(rootsCache, say, emulation).finally(() => emulation.end());
    }),
  );
  say("packages and roots are there");
  project.provide("packages", packages as Readonly<Record<ArchitectureName, string>>);
  project.provide("rootsCache", rootsCache);
}
