// A copy of the built program, its sources and its tests beside this checkout's packages, with addons for other versions of Node.
// Nothing of the checkout is changed: packages are links, and those with an addon are copies without their own binaries.

import { copyFile, cp, mkdir, readdir, symlink } from "node:fs/promises";
import { dirname, join } from "node:path";
import { ADDON_OWNERS, type Addon, placeOf } from "../../systemd/package/addons.ts";
import { PROGRAM_PARTS } from "../../systemd/package/production.ts";

/** The addons of one version of Node, by its binary interface. */
export type AddonSet = { readonly abi: number; readonly addons: readonly Addon[] };

/** What the tests of the parts read. */
const TESTED = ["daemon", "hardware", "web", "systemd", "tests", "dist/tests", "tsconfig.json", "README.md"];
const CACHE = /\/\.cache(\/|$)/;

const OWN_BINARIES = /\/(build|deps|src)(\/|$)/;

/** Lays everything out in the empty folder `root`, which is not in the checkout; resolves to the program's main file. */
export async function layOut(checkout: string, root: string, sets: readonly AddonSet[]): Promise<string> {
  for (const part of PROGRAM_PARTS) await cp(join(checkout, part), join(root, part), { recursive: true });
  for (const part of TESTED) {
    await cp(join(checkout, part), join(root, part), {
      recursive: true,
      filter: (path) => !CACHE.test(path.slice(checkout.length)),
    });
  }
  const [from, to] = [join(checkout, "node_modules"), join(root, "node_modules")];
  await mkdir(to, { recursive: true });
  const owners: readonly string[] = ADDON_OWNERS;
  for (const name of await readdir(from)) {
    if (!owners.includes(name)) await symlink(join(from, name), join(to, name));
  }
  for (const owner of ADDON_OWNERS) {
    const folder = join(from, owner);
    await cp(folder, join(to, owner), {
      recursive: true,
      filter: (path) => !OWN_BINARIES.test(path.slice(folder.length)),
    });
  }
  for (const { abi, addons } of sets) {
    for (const addon of addons) {
      const target = join(to, placeOf(addon, abi, process.arch));
      await mkdir(dirname(target), { recursive: true });
      await copyFile(addon.file, target);
    }
  }
  return join(root, "dist", "daemon", "main.js");
}
