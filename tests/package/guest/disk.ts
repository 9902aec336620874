// Makes what the guest boots from: a clean root with the package and systemd as a disk image, Debian's stock kernel, and an
// initial file system that only loads the disk's drivers and hands over.

import { chmod, copyFile, mkdir, readdir, rm, symlink, writeFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { exec } from "../../../systemd/package/exec.ts";
import type { CleanRoot } from "../clean-root.ts";

/** Files for the emulator. */
export type GuestDisk = {
  readonly kernel: string;
  readonly initramfs: string;
  readonly disk: string;
  readonly firmware: string;
};

/** In the order in which they are loaded; for the disk, before there is one. */
const DISK_MODULES = ["crc32c_generic", "crc16", "mbcache", "jbd2", "ext4", "virtio_blk"];

/** Of the real machine: an I2C adapter with chips that are only registers, a driver for one, GPIO, and what the package asks for. */
const BOARD_MODULES = ["i2c-stub", "i2c-dev", "lm75", "gpio-generic", "gpio-amdpt"];

/** Nothing here is looked at, and each takes emulated seconds. */
const MASKED = [
  ...["getty.target", "getty-static.service", "systemd-journal-catalog-update.service", "ldconfig.service"],
  ...["systemd-hwdb-update.service", "modprobe@drm.service", "modprobe@fuse.service", "modprobe@efi_pstore.service"],
  ...["systemd-random-seed.service", "systemd-logind.service", "systemd-firstboot.service", "dev-hugepages.mount"],
  ...["apt-daily.timer", "apt-daily-upgrade.timer", "dpkg-db-backup.timer", "man-db.timer", "systemd-pcrphase.service"],
];

/** What the guest's shell says first; before that its serial port loses what it is sent. */
export const SHELL_IS_UP = "guest-shell-is-up";

/** A shell on the second serial port, fed through a pipe: not a terminal, so that nothing is echoed. */
const SHELL = `exec 3<>/dev/ttyS1; stty raw -echo <&3; printf ${SHELL_IS_UP} >&3; cat <&3 | /bin/sh >&3 2>&1`;
const SHELL_UNIT = `[Unit]
DefaultDependencies=no
[Service]
ExecStart=/bin/sh -c "${SHELL}"
[Install]
WantedBy=multi-user.target
`;

const INIT = `#!/bin/sh
/bin/busybox mount -t devtmpfs dev /dev
for module in /modules/*; do /bin/busybox insmod "$module"; done
/bin/busybox mount -t ext4 /dev/vda /root && exec /bin/busybox switch_root /root /sbin/init
/bin/busybox poweroff -f
`;

/** `archives` is where the root's apt keeps packages; `config` becomes the package's configuration; `folder` takes the files. */
export async function makeDisk(
  root: CleanRoot,
  archives: string,
  folder: string,
  packageFile: string,
  config: string,
): Promise<GuestDisk> {
  await root.install(packageFile, "systemd-sysv", "udev", "kmod", "i2c-tools");
  await rm(join(root.folder, "usr/sbin/policy-rc.d"));
  const kernel = await unpackKernel(root, archives, join(folder, "kernel"));
  await placeModules(root, kernel);
  const system = join(root.folder, "etc/systemd/system");
  await writeFile(join(system, "guest-shell.service"), SHELL_UNIT);
  await mkdir(join(system, "multi-user.target.wants"), { recursive: true });
  await symlink("../guest-shell.service", join(system, "multi-user.target.wants/guest-shell.service"));
  for (const unit of MASKED) await symlink("/dev/null", join(system, unit));
  await writeFile(join(root.folder, "etc/modprobe.d/stub.conf"), "options i2c-stub chip_addr=0x48,0x49,0x4a\n");
  await writeFile(join(root.folder, "etc/modules-load.d/stub.conf"), "i2c-stub\ngpio-amdpt\n");
  await writeFile(join(root.folder, "etc/fstab"), "");
  await writeFile(join(root.folder, "etc/hosts"), "127.0.0.1 localhost\n::1 localhost\n");
  await writeFile(join(root.folder, "etc/emberwire/emberwire.toml"), config);
  const stamp = new Date();
  for (const place of ["etc/.updated", "var/.updated"])
    await writeFile(join(root.folder, place), `${stamp.getTime()}\n`);
  const disk = join(folder, "disk.img");
  await exec("mke2fs", ["-q", "-F", "-t", "ext4", "-O", "^has_journal", "-d", root.folder, disk, "1200M"], {
    deadlineSeconds: 120,
  });
  await exec("iasl", ["-p", join(folder, "pins"), join(import.meta.dirname, "pins.asl")], { deadlineSeconds: 30 });
  return { kernel: kernel.image, initramfs: await initramfs(kernel, folder), disk, firmware: join(folder, "pins.aml") };
}

type Kernel = { readonly image: string; readonly release: string; readonly modules: string };

/** The stock kernel of the root's own release. */
async function unpackKernel(root: CleanRoot, archives: string, folder: string): Promise<Kernel> {
  const depends = await root.run("apt-cache", "depends", "linux-image-amd64");
  const name = /Depends: (linux-image-\S+)/.exec(depends)?.[1];
  if (name === undefined) throw new Error(`no kernel behind linux-image-amd64:\n${depends}`);
  await root.run(
    "sh",
    "-c",
    `cd /var/cache/apt/archives && ls ${name}_*.deb 2> /dev/null || apt-get -q download ${name}`,
  );
  const file = (await readdir(archives)).find((entry) => entry.startsWith(`${name}_`));
  await mkdir(folder, { recursive: true });
  await exec("dpkg-deb", ["-x", join(archives, file!), folder], { deadlineSeconds: 120 });
  const release = name.replace("linux-image-", "");
  return {
    image: join(folder, "boot", `vmlinuz-${release}`),
    release,
    modules: join(folder, "usr/lib/modules", release),
  };
}

async function moduleFile({ modules }: Kernel, name: string): Promise<string> {
  const entries = await readdir(modules, { recursive: true });
  const found = entries.find((entry) => basename(entry) === `${name}.ko.xz`);
  if (found === undefined) throw new Error(`${modules}: expected a module ${name}, got none`);
  return found;
}

async function placeModules(root: CleanRoot, kernel: Kernel): Promise<void> {
  const home = join(root.folder, "usr/lib/modules", kernel.release);
  const files = await Promise.all(BOARD_MODULES.map((name) => moduleFile(kernel, name)));
  for (const name of [...files, "modules.order", "modules.builtin", "modules.builtin.modinfo"]) {
    await mkdir(dirname(join(home, name)), { recursive: true });
    await copyFile(join(kernel.modules, name), join(home, name));
  }
  await root.run("depmod", kernel.release);
}

async function initramfs(kernel: Kernel, folder: string): Promise<string> {
  const tree = join(folder, "initramfs");
  for (const place of ["bin", "dev", "modules", "root"]) await mkdir(join(tree, place), { recursive: true });
  await copyFile("/bin/busybox", join(tree, "bin/busybox"));
  await symlink("busybox", join(tree, "bin/sh"));
  for (const [index, name] of DISK_MODULES.entries()) {
    const packed = join(kernel.modules, await moduleFile(kernel, name));
    const place = join(tree, "modules", `${index}-${name}.ko`);
    await exec("sh", ["-c", 'xz -dc "$1" > "$2"', "sh", packed, place], { deadlineSeconds: 30 });
  }
  await writeFile(join(tree, "init"), INIT);
  await chmod(join(tree, "init"), 0o755);
  const archive = join(folder, "initramfs.cpio");
  const names = ["init", "bin", "bin/busybox", "bin/sh", "dev", "modules", "root"];
  const entries = [...names, ...(await readdir(join(tree, "modules"))).map((name) => `modules/${name}`)];
  await exec("cpio", ["--quiet", "-o", "-H", "newc", "-R", "0:0", "-F", archive], {
    deadlineSeconds: 60,
    cwd: tree,
    input: `${entries.join("\n")}\n`,
  });
  return archive;
}
