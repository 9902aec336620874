// Builds the guest's whole file system as one uncompressed archive: busybox, node with its libraries, drivers, the program.

import { chmod, copyFile, cp, mkdir, readdir, rename, rm, symlink, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { type Addon, placeOf } from "../../../systemd/package/addons.ts";
import { exec } from "../../../systemd/package/exec.ts";
import type { ArmhfFiles } from "./armhf.ts";
import { modulesInOrder } from "./modules.ts";
import type { NodeArmv7 } from "./node-armv7.ts";
import { REPLACEMENTS, redirectYoungerBuiltins } from "./younger-builtins.ts";

/** A host file or folder and its place in the guest; paths that `with` refuses stay behind. */
export type Cargo = { readonly from: string; readonly to: string; readonly with: (path: string) => boolean };

/** What goes into the guest. */
export type GuestContents = {
  readonly armhf: ArmhfFiles;
  readonly node: NodeArmv7;
  readonly addons: readonly Addon[];
  /** Folder of the guest with `node_modules`, where the addons go. */
  readonly program: string;
  readonly cargo: readonly Cargo[];
  /** Folder with `init`, `run.cgi`, `service.sh` and the replacements of built-in modules. */
  readonly scripts: string;
};

/** The cross compiler's target libraries; the same that Debian ships for armhf. */
const LIBRARIES = "/usr/arm-linux-gnueabihf/lib";
const NODE_NEEDS = [
  "ld-linux-armhf.so.3",
  "libatomic.so.1",
  "libc.so.6",
  "libdl.so.2",
  "libgcc_s.so.1",
  "libm.so.6",
  "libpthread.so.0",
  "libstdc++.so.6",
];

async function place(
  root: string,
  where: string,
  from: string,
  keeps: (path: string) => boolean = () => true,
): Promise<void> {
  const target = join(root, where);
  await mkdir(dirname(target), { recursive: true });
  await cp(from, target, { recursive: true, dereference: true, filter: keeps });
}

async function fill(root: string, contents: GuestContents): Promise<void> {
  const { armhf, node } = contents;
  await place(root, "bin/busybox", armhf.busybox);
  await symlink("busybox", join(root, "bin", "sh"));
  await place(root, "usr/bin/node", node.binary);
  for (const library of NODE_NEEDS) await place(root, join("lib", library), join(LIBRARIES, library));
  const modules = await modulesInOrder(armhf.modules);
  for (const file of modules) await place(root, join("modules", basename(file)), file);
  await writeFile(join(root, "modules", "order"), modules.map((file) => `/modules/${basename(file)}\n`).join(""));
  await place(root, "init", join(contents.scripts, "init"));
  await place(root, "www/cgi-bin/run", join(contents.scripts, "run.cgi"));
  await place(root, "service.sh", join(contents.scripts, "service.sh"));
  await chmod(join(root, "init"), 0o755);
  await chmod(join(root, "service.sh"), 0o755);
  await chmod(join(root, "www/cgi-bin/run"), 0o755);
  for (const { from, to, with: keeps } of contents.cargo) await place(root, to, from, keeps);
  for (const file of REPLACEMENTS) await place(root, file, join(contents.scripts, file));
  await redirectYoungerBuiltins(join(root, contents.program, "dist"));
  for (const addon of contents.addons) {
    const target = join(root, contents.program, "node_modules", placeOf(addon, node.abi, "arm"));
    await mkdir(dirname(target), { recursive: true });
    await copyFile(addon.file, target);
  }
}

/** Writes the archive to `target`. */
export async function writeInitramfs(contents: GuestContents, target: string): Promise<void> {
  const root = `${target}.root`;
  await rm(root, { recursive: true, force: true });
  await mkdir(root, { recursive: true });
  await fill(root, contents);
  const entries = (await readdir(root, { recursive: true })).sort();
  const half = `${target}.part`;
  await exec("cpio", ["--quiet", "-o", "-H", "newc", "-R", "0:0", "-F", half], {
    deadlineSeconds: 120,
    cwd: root,
    input: `${entries.join("\n")}\n`,
  });
  await rename(half, target);
  await rm(root, { recursive: true });
}
