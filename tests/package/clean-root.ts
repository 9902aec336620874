// A Debian root of its own, as small as Debian makes it: unpacked, entered, thrown away. The host's own packages stay untouched.

import { type ChildProcess, spawn } from "node:child_process";
import { access, copyFile, mkdir, mkdtemp, readdir, rename, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { type ExecOptions, exec } from "../../systemd/package/exec.ts";
import type { Emulation } from "./emulation.ts";

/** The release whose Node is new enough; Raspberry Pi OS has one of the same name. */
const SUITE = "trixie";

/** Nothing starts by itself while packages are installed (policy-rc.d of Debian's init system helpers). */
const NO_STARTS = "#!/bin/sh\nexit 101\n";

/** Keeps what apt has fetched. */
const KEEP = 'APT::Keep-Downloaded-Packages "true";\nBinary::apt::APT::Keep-Downloaded-Packages "true";\n';

/** What an emulated root has from the start: configuring a package takes translated minutes, so that is done once. */
const EMULATED = ["--include=nodejs,systemd", "--dpkgopt=force-unsafe-io"];

/** Where the archive of this machine's, or the emulation's, root is kept. */
function archiveIn(cache: string, emulation: Emulation | null): string {
  return join(cache, `${SUITE}${emulation === null ? "" : `-${emulation.architecture.debian}`}.tar`);
}

/** The archive of the root, from the cache or made now. Remove the cache to get the newest. */
export async function baseArchive(
  cache: string,
  say: (line: string) => void,
  emulation: Emulation | null = null,
): Promise<string> {
  const archive = archiveIn(cache, emulation);
  const known = await access(archive).then(
    () => true,
    () => false,
  );
  if (known) return archive;
  const half = archive.replace(/tar$/, "part.tar");
  if (emulation === null) {
    say(`making a clean root of Debian ${SUITE}`);
    await exec("mmdebstrap", ["--variant=minbase", "--skip=cleanup/apt/lists", SUITE, half], { deadlineSeconds: 300 });
  } else {
    const { debian } = emulation.architecture;
    say(`making a clean root of Debian ${SUITE} for ${debian}, emulated: this once, some minutes`);
    const options = ["--mode=root", `--architectures=${debian}`, "--variant=minbase", ...EMULATED];
    await run(emulation.within("mmdebstrap", ...options, SUITE, half, await mirror()), { deadlineSeconds: 600 });
  }
  await rename(half, archive);
  return archive;
}

/** Where this machine has its own release from. Named, it is the root's only index; the rest would be fetched and not used. */
async function mirror(): Promise<string> {
  const words = ["indextargets", "--format", "$(REPO_URI)", "Created-By: Packages", "Label: Debian", "Component: main"];
  const [uri = ""] = (await exec("apt-get", words, { deadlineSeconds: 30 })).split("\n");
  if (uri === "") throw new Error("apt-get indextargets: expected the mirror of Debian's main section, got nothing");
  return uri;
}

/** Mounts what programs expect, then becomes the program; everything ends with the first process of its namespace. */
const ENTER = [
  'mount -t proc proc "$1/proc"',
  'mount --rbind /dev "$1/dev"',
  'mount --bind "$2" "$1/var/cache/apt/archives"',
  'root="$1"; shift 2; exec chroot "$root" "$@"',
].join(" && ");
const NAMESPACES = ["unshare", "--mount", "--pid", "--fork", "--kill-child"];

/** As `exec`, of words that begin with the program. */
const run = ([program, ...words]: readonly string[], options: ExecOptions): Promise<string> =>
  exec(program!, words, options);

/** Where apt keeps what it fetched for the roots of one purpose. */
export function archivesOf(cache: string, purpose: string): string {
  return join(cache, `archives-${purpose}`);
}

export class CleanRoot {
  readonly folder: string;
  readonly #archives: string;
  readonly #emulation: Emulation | null;

  private constructor(folder: string, archives: string, emulation: Emulation | null) {
    this.folder = folder;
    this.#archives = archives;
    this.#emulation = emulation;
  }

  /** A fresh one. `purpose` names its own folder of fetched packages: apt locks it, and two roots may be at work. */
  static async unpack(cache: string, purpose: string, emulation: Emulation | null = null): Promise<CleanRoot> {
    const folder = await mkdtemp(join(tmpdir(), "emberwire-root-"));
    await exec("tar", ["-C", folder, "-xf", archiveIn(cache, emulation)], { deadlineSeconds: 120 });
    const root = new CleanRoot(folder, archivesOf(cache, purpose), emulation);
    await mkdir(join(archivesOf(cache, purpose), "partial"), { recursive: true });
    await copyFile("/etc/resolv.conf", join(folder, "etc/resolv.conf"));
    await writeFile(join(folder, "usr/sbin/policy-rc.d"), NO_STARTS, { mode: 0o755 });
    await writeFile(join(folder, "etc/apt/apt.conf.d/01keep"), KEEP);
    return root;
  }

  #entered(words: readonly string[]): readonly string[] {
    const enter = ["sh", "-c", ENTER, "enter", this.folder, this.#archives, ...words];
    return this.#emulation?.within(...enter) ?? [...NAMESPACES, ...enter];
  }

  /** Output of a program in the root; rejects unless it ends with 0. */
  run(...words: readonly string[]): Promise<string> {
    const env = { DEBIAN_FRONTEND: "noninteractive", LC_ALL: "C.UTF-8", PATH: "/usr/sbin:/usr/bin:/sbin:/bin" };
    return run(this.#entered(words), { deadlineSeconds: 200, env });
  }

  /** A program in the root that goes on; killing it ends all that it started. */
  start(...words: readonly string[]): ChildProcess {
    const [program, ...rest] = this.#entered(words);
    return spawn(program!, rest, { stdio: "pipe" });
  }

  /** What apt installs: names, and package files of the host. */
  async install(...packages: readonly string[]): Promise<string> {
    const names = await Promise.all(packages.map((name) => (name.startsWith("/") ? this.#bring(name) : name)));
    const options = ["-qy", "--no-install-recommends", "-o", "Dpkg::Options::=--force-confold"];
    return await this.run("apt-get", "install", ...options, ...names);
  }

  async #bring(file: string): Promise<string> {
    const place = `/root/${basename(file)}`;
    await copyFile(file, join(this.folder, place));
    return place;
  }

  /** Every file in it now. */
  async files(): Promise<ReadonlySet<string>> {
    return new Set(await readdir(this.folder, { recursive: true }));
  }

  remove(): Promise<void> {
    return rm(this.folder, { recursive: true, force: true });
  }
}
