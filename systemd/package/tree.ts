// Lays out the files of the package as they will lie in the system, with the places that Debian's policy gives them.
// It decides nothing about the package's name, version or scripts.

import { chmod, cp, mkdir, readdir, readFile, rmdir, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { type Addon, placeOf } from "./addons.ts";
import type { Architecture } from "./architectures.ts";
import { isRun, PROGRAM_PARTS } from "./production.ts";

/** Where the program lives, without the leading slash. */
export const PROGRAM = "usr/lib/emberwire";

/** Addons of one Node release line. */
export type AddonSet = { readonly abi: number; readonly addons: readonly Addon[] };

/** What a tree is laid out of. */
export type TreeContents = {
  readonly checkout: string;
  readonly architecture: Architecture;
  /** Below the checkout, as `productionPackages` lists them. */
  readonly packages: readonly string[];
  readonly addonSets: readonly AddonSet[];
  /** The unpacked package with koffi's addon. */
  readonly koffi: string;
  /** Files that are made and not copied: place without the leading slash, and content. */
  readonly made: ReadonlyMap<string, string | Buffer>;
};

/** The unit and its neighbours: what each is called here and there. */
const SYSTEM_FILES: Readonly<Record<string, string>> = {
  "emberwire.service": "usr/lib/systemd/system/emberwire.service",
  "emberwire.sysusers": "usr/lib/sysusers.d/emberwire.conf",
  "emberwire.tmpfiles": "usr/lib/tmpfiles.d/emberwire.conf",
  "emberwire.modules": "usr/lib/modules-load.d/emberwire.conf",
  "emberwire.rules": "usr/lib/udev/rules.d/60-emberwire.rules",
  "emberwire.toml": "etc/emberwire/emberwire.toml",
  nginx: "usr/share/doc/emberwire/examples/nginx",
  prometheus: "usr/share/doc/emberwire/examples/prometheus",
};

/** Fills the empty folder `root`. */
export async function layOut(root: string, contents: TreeContents): Promise<void> {
  const { checkout } = contents;
  for (const part of [...PROGRAM_PARTS, ...contents.packages]) {
    const nested = join(checkout, part, "node_modules");
    // A package inside another has a line of its own in the list, if it is imported at all.
    const filter = (path: string): boolean => isRun(path) && path !== nested;
    await place(join(checkout, part), join(root, PROGRAM, part), filter);
  }
  for (const { abi, addons } of contents.addonSets)
    for (const addon of addons)
      await place(addon.file, join(root, PROGRAM, "node_modules", placeOf(addon, abi, contents.architecture.node)));
  await place(contents.koffi, join(root, PROGRAM, "node_modules", contents.architecture.koffi.name));
  for (const [name, to] of Object.entries(SYSTEM_FILES)) await place(join(checkout, "systemd", name), join(root, to));
  for (const [to, content] of contents.made) {
    await mkdir(dirname(join(root, to)), { recursive: true });
    await writeFile(join(root, to), content);
  }
  await directTo(join(root, PROGRAM, "dist/daemon/main.js"));
  await removeEmptyFolders(root);
  await setModes(root, [`${PROGRAM}/dist/daemon/main.js`, `${PROGRAM}/systemd/release-lines.sh`]);
}

async function place(from: string, to: string, filter: (path: string) => boolean = () => true): Promise<void> {
  await mkdir(dirname(to), { recursive: true });
  await cp(from, to, { recursive: true, dereference: true, filter });
}

/** The system's Node, not one that a user has in the path: the addons are for the one that the package depends on. */
async function directTo(file: string): Promise<void> {
  const text = await readFile(file, "utf8");
  await writeFile(file, text.replace(/^#!.*\n/, "#!/usr/bin/node\n"));
}

async function removeEmptyFolders(folder: string): Promise<boolean> {
  const entries = await readdir(folder, { withFileTypes: true });
  let left = entries.length;
  for (const entry of entries)
    if (entry.isDirectory() && (await removeEmptyFolders(join(folder, entry.name)))) left -= 1;
  if (left === 0) await rmdir(folder);
  return left === 0;
}

/** Whatever the builder's umask was. */
async function setModes(root: string, executables: readonly string[]): Promise<void> {
  await chmod(root, 0o755);
  for (const entry of await readdir(root, { recursive: true, withFileTypes: true })) {
    if (entry.isSymbolicLink()) continue;
    await chmod(join(entry.parentPath, entry.name), entry.isDirectory() ? 0o755 : 0o644);
  }
  for (const file of executables) await chmod(join(root, file), 0o755);
}
