// Runs once before the scenarios: builds the package of this checkout, and the clean root that everything begins with.

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { TestProject } from "vitest/node";
import { ARCHITECTURES } from "../../systemd/package/architectures.ts";
import { buildPackage } from "../../systemd/package/build.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { baseArchive } from "./clean-root.ts";

declare module "vitest" {
  export interface ProvidedContext {
    readonly packageFile: string;
    readonly cache: string;
  }
}

/** Debian 12 names. */
const HOST_PACKAGES = [
  "mmdebstrap",
  "qemu-system-x86",
  "acpica-tools",
  "e2fsprogs",
  "cpio",
  "xz-utils",
  "busybox-static",
];

export default async function setup(project: TestProject): Promise<void> {
  const checkout = fileURLToPath(new URL("../..", import.meta.url));
  const cache = join(checkout, "tests/package/.cache");
  const began = performance.now();
  const say = (line: string): void => {
    process.stdout.write(`package, ${((performance.now() - began) / 1000).toFixed(1)} s: ${line}\n`);
  };
  await mkdir(cache, { recursive: true });
  await installHostPackages("the package's test", HOST_PACKAGES, say);
  const [built] = await Promise.all([
    buildPackage(checkout, ARCHITECTURES.amd64, join(checkout, "dist/package"), say),
    baseArchive(cache, say),
  ]);
  say(`built: ${(built.bytes / 1e6).toFixed(1)} MB, ${(built.installedKibibytes / 1024).toFixed(0)} MiB installed`);
  project.provide("packageFile", built.file);
  project.provide("cache", cache);
}
