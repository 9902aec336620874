// Fetches the stock Debian armhf kernel and busybox through a private view of apt, so that the host's apt stays as it is.
// The view reads the host's own list of sources and keeps its state in the cache directory.

import { mkdir, readdir, rename, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "../../../systemd/package/exec.ts";

/** Where the unpacked armhf files are. */
export type ArmhfFiles = {
  readonly kernel: string;
  readonly release: string;
  readonly deviceTree: string;
  readonly modules: string;
  readonly busybox: string;
};

/** QEMU's board `sabrelite` carries an i.MX6 Quad. */
const BOARD_DTB = "imx6q-sabrelite.dtb";
const KERNEL_META_PACKAGE = "linux-image-armmp";

async function aptView(home: string): Promise<{ readonly APT_CONFIG: string }> {
  await mkdir(join(home, "lists", "partial"), { recursive: true });
  await mkdir(join(home, "archives", "partial"), { recursive: true });
  await writeFile(join(home, "status"), "");
  const config = join(home, "apt.conf");
  await writeFile(
    config,
    [
      'APT::Architecture "armhf";',
      'APT::Architectures { "armhf"; };',
      'APT::Sandbox::User "root";',
      'Acquire::Languages "none";',
      `Dir::State "${home}";`,
      `Dir::State::lists "${join(home, "lists")}";`,
      `Dir::State::status "${join(home, "status")}";`,
      `Dir::Cache "${home}";`,
      `Dir::Cache::archives "${join(home, "archives")}";`,
      "",
    ].join("\n"),
  );
  return { APT_CONFIG: config };
}

async function kernelPackage(env: { readonly APT_CONFIG: string }): Promise<string> {
  const depends = await exec("apt-cache", ["depends", KERNEL_META_PACKAGE], { deadlineSeconds: 60, env });
  const name = /Depends: (linux-image-\S+)/.exec(depends)?.[1];
  if (name === undefined)
    throw new Error(`apt's armhf view offers no kernel behind ${KERNEL_META_PACKAGE}:\n${depends}`);
  return name;
}

async function fetchInto(home: string, say: (line: string) => void): Promise<void> {
  const view = join(home, "apt");
  const env = await aptView(view);
  let refused = "";
  // One source without armhf (or a mirror in the middle of a sync) makes `update` fail although the rest is usable.
  await exec("apt-get", ["update"], { deadlineSeconds: 180, env }).catch((error: Error) => {
    refused = error.message;
  });
  try {
    const kernel = await kernelPackage(env);
    say(`fetching ${kernel} and busybox-static for armhf`);
    await exec("apt-get", ["download", kernel, "busybox-static"], { deadlineSeconds: 300, cwd: view, env });
  } catch (error) {
    throw new Error(`the armhf kernel and busybox cannot be had: ${(error as Error).message}\n${refused}`, {
      cause: error,
    });
  }
  const debs = (await readdir(view)).filter((name) => name.endsWith(".deb"));
  for (const deb of debs) await exec("dpkg-deb", ["-x", join(view, deb), home], { deadlineSeconds: 180 });
  await rm(view, { recursive: true });
}

async function onlyEntry(folder: string, what: RegExp): Promise<string> {
  const found = (await readdir(folder)).filter((name) => what.test(name));
  const entry = found[0];
  if (entry === undefined || found.length > 1)
    throw new Error(`${folder}: expected one ${what.source}, got ${found.length}`);
  return entry;
}

/** The armhf files, from the cache or fetched now. Remove the cache directory to get the newest kernel. */
export async function armhfFiles(cache: string, say: (line: string) => void): Promise<ArmhfFiles> {
  const home = join(cache, "armhf");
  const present = await readdir(home).then(
    () => true,
    () => false,
  );
  if (!present) {
    const half = `${home}.part`;
    await rm(half, { recursive: true, force: true });
    await mkdir(half, { recursive: true });
    await fetchInto(half, say);
    await rename(half, home);
  }
  const image = await onlyEntry(join(home, "boot"), /^vmlinuz-/);
  const release = image.replace("vmlinuz-", "");
  return {
    kernel: join(home, "boot", image),
    release,
    deviceTree: join(home, "usr", "lib", `linux-image-${release}`, BOARD_DTB),
    modules: join(home, "lib", "modules", release),
    busybox: join(home, "bin", "busybox"),
  };
}
