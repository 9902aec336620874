// Makes everything the emulator boots from, using the cache for what does not change. The order is the order of dependence.

import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { compileAddons } from "../../../systemd/package/addons.ts";
import { ARCHITECTURES } from "../../../systemd/package/architectures.ts";
import { installHostPackages } from "../../../systemd/package/host-packages.ts";
import { fetchKoffi } from "../../../systemd/package/koffi.ts";
import { armhfFiles } from "./armhf.ts";
import { writeDeviceTree } from "./device-tree.ts";
import { writeInitramfs } from "./initramfs.ts";
import { nodeArmv7 } from "./node-armv7.ts";
import { PROGRAM_FOLDER, programCargo } from "./program.ts";

/** Debian 12 names. The cross compiler brings the armhf C and C++ libraries that the guest runs on. */
const HOST_PACKAGES = ["qemu-system-arm", "cpio", "xz-utils", "device-tree-compiler", "g++-arm-linux-gnueabihf"];

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
  await installHostPackages("the kernel test", HOST_PACKAGES, say);
  const armhf = await armhfFiles(cache, say);
  const node = await nodeArmv7(cache, say);
  // The engine at -O1: it is compiled in every fresh checkout, and the guest's time goes elsewhere.
  const target = { triplet: ARCHITECTURES.armhf.triplet, node, optimise: "-O1" } as const;
  const [addons = []] = await compileAddons(cache, join(checkout, "node_modules"), [target], say);
  const deviceTree = join(cache, "board.dtb");
  const initramfs = join(cache, "initramfs.cpio");
  await writeDeviceTree(armhf.deviceTree, deviceTree);
  const { armhf: architecture } = ARCHITECTURES;
  const koffi = await fetchKoffi(cache, join(checkout, "node_modules"), architecture, say);
  const koffiPlace = join(PROGRAM_FOLDER, "node_modules", architecture.koffi.name);
  const cargo = [...(await programCargo(checkout)), { from: koffi, to: koffiPlace, with: () => true }];
  await writeInitramfs(
    { armhf, node, addons, program: PROGRAM_FOLDER, cargo, scripts: join(home, "guest") },
    initramfs,
  );
  return { kernel: armhf.kernel, deviceTree, initramfs, versions: `Linux ${armhf.release}, node ${node.version}` };
}
