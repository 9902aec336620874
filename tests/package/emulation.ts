// A corner of the kernel that runs programs of another architecture through QEMU: a user namespace with a list of binary formats
// of its own (Linux 6.7). The host's list stays as it is, and everything ends with this process. It knows nothing of Debian roots.

import { type ChildProcess, spawn } from "node:child_process";
import { readlinkSync, writeFileSync } from "node:fs";
import type { Architecture } from "../../systemd/package/architectures.ts";
import { exec } from "../../systemd/package/exec.ts";
import { until } from "../kernel/host/deadline.ts";

/** Debian 12 names: QEMU for programs, and what tells mmdebstrap that they run. */
export const EMULATION_PACKAGES = ["qemu-user-static", "arch-test"];

const FORMATS = "/proc/sys/fs/binfmt_misc";

/** As many users as Debian's policy knows, each as himself: files in a root belong to whom they will belong. */
const EVERY_USER = "0 0 65536\n";

/** Mounts the namespace's list, enters QEMU as its package describes it, becomes the program. */
const REGISTER = [
  `mount -t binfmt_misc binfmt_misc ${FORMATS}`,
  `{ [ -e "${FORMATS}/$1" ] || cat "/usr/lib/binfmt.d/$1.conf" > ${FORMATS}/register; }`,
  'shift; exec "$@"',
].join(" && ");

/** Translating takes many times the work: whoever else is at the machine goes first. */
const NICE = ["nice", "-n", "10"];
const NAMESPACES = ["unshare", "--mount", "--pid", "--fork", "--kill-child"];

const namespaceOf = (pid: number | "self"): string => readlinkSync(`/proc/${pid}/ns/user`);

export class Emulation {
  readonly architecture: Architecture;
  readonly #holder: ChildProcess;

  private constructor(architecture: Architecture, holder: ChildProcess) {
    this.architecture = architecture;
    this.#holder = holder;
  }

  /** Rejects with what the kernel refused. */
  static async begin(architecture: Architecture): Promise<Emulation> {
    // It lives as long as its standard input is open: until it is ended, or this process is no more.
    const holder = spawn("unshare", ["--user", "cat"], { stdio: ["pipe", "ignore", "inherit"] });
    const pid = holder.pid;
    if (pid === undefined) throw new Error("unshare: expected a process, got none");
    const emulation = new Emulation(architecture, holder);
    try {
      await until(10, "a user namespace", () => namespaceOf(pid) !== namespaceOf("self") || undefined);
      for (const map of ["uid_map", "gid_map"]) writeFileSync(`/proc/${pid}/${map}`, EVERY_USER);
      const [program, ...words] = emulation.within("cat", `${FORMATS}/status`);
      await exec(program!, words, { deadlineSeconds: 20 });
    } catch (error) {
      emulation.end();
      const needed = "a kernel with user namespaces that have their own binfmt_misc (Linux 6.7)";
      throw new Error(`emulation of ${architecture.debian}: expected ${needed}, got ${String(error)}`, {
        cause: error,
      });
    }
    return emulation;
  }

  /** The words that run a program in here, in mount and process namespaces of its own; all it started ends with it. */
  within(...words: readonly string[]): readonly string[] {
    const enter = ["nsenter", "--user", "--target", String(this.#holder.pid)];
    const format = `qemu-${this.architecture.triplet.split("-")[0]}`;
    return [...NICE, ...enter, ...NAMESPACES, "sh", "-c", REGISTER, "register", format, ...words];
  }

  end(): void {
    this.#holder.stdin?.end();
  }
}
