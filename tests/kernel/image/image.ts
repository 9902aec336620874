// Makes everything the emulator boots from, using the cache for what does not change. The order is the order of dependence.

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { crossAddons } from "./addons.ts";
import { armhfFiles } from "./armhf.ts";
import { writeDeviceTree } from "./device-tree.ts";
import { writeInitramfs } from "./initramfs.ts";
import { nodeArmv7 } from "./node-armv7.ts";
import { installHostPackages } from "./packages.ts";
import { PROGRAM_FOLDER, programCargo } from "./program.ts";

/** Files for the emulator, with the versions that are under test. */
export type GuestImage = {
  readonly kernel: string;
  readonly deviceTree: string;
  readonly initramfs: string;
  readonly versions: string;
};

/** Builds the image for the checkout. `say` hears what takes long. */
export async function buildImage(checkout: string, say: (line: string) => void): Promise<GuestImage> {
  const home = join(checkout, "tests", "kernel");
  const cache = join(home, ".cache");
  await mkdir(cache, { recursive: true });
  await installHostPackages(say);
  const armhf = await armhfFiles(cache, say);
  const node = await nodeArmv7(cache, say);
  const addons = await crossAddons(cache, join(checkout, "node_modules"), node, say);
  const deviceTree = join(cache, "board.dtb");
  const initramfs = join(cache, "initramfs.cpio");
  await writeDeviceTree(armhf.deviceTree, deviceTree);
  const cargo = await programCargo(checkout);
  await writeInitramfs(
    { armhf, node, addons, program: PROGRAM_FOLDER, cargo, scripts: join(home, "guest") },
    initramfs,
  );
  return { kernel: armhf.kernel, deviceTree, initramfs, versions: `Linux ${armhf.release}, node ${node.version}` };
}
