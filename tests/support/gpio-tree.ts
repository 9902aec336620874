// sysfs GPIO as files on disk, with the package `onoff` itself running on it: its own source, its file calls led to the tree,
// its poller moved by hand. So what onoff does with a pin that a crash left exported is what it really does.
import * as fs from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { compileFunction } from "node:vm";
import type { OnoffModule } from "../../hardware/gpio/sysfs-lines.ts";
import { systemError } from "./register-chip.ts";

const require = createRequire(import.meta.url);
const DIRECTORY = "/sys/class/gpio";

/** False where the optional package could not be built at installation. */
export function isInstalled(name: string): boolean {
  try {
    require.resolve(name);
    return true;
  } catch {
    return false;
  }
}

/** Evaluates the main file of a CommonJS package with requires of its own. */
export function loadWith(name: string, replacements: Readonly<Record<string, unknown>>): unknown {
  const path = require.resolve(name);
  const module = { exports: {} };
  const ownRequire = createRequire(path);
  const replaced = (wanted: string): unknown => replacements[wanted] ?? ownRequire(wanted);
  compileFunction(fs.readFileSync(path, "utf8"), ["require", "module", "exports"], { filename: path })(
    replaced,
    module,
    module.exports,
  );
  return module.exports;
}

export type TreeChip = { readonly label: string; readonly base: number; readonly lines: number };

/** The files of the chips, for `kernelTree`. */
export function chipFiles(chips: readonly TreeChip[]): Record<string, string> {
  const files: Record<string, string> = { [`${DIRECTORY}/export`]: "", [`${DIRECTORY}/unexport`]: "" };
  for (const { label, base, lines } of chips) {
    files[`${DIRECTORY}/gpiochip${base}/label`] = `${label}\n`;
    files[`${DIRECTORY}/gpiochip${base}/base`] = `${base}\n`;
    files[`${DIRECTORY}/gpiochip${base}/ngpio`] = `${lines}\n`;
  }
  return files;
}

/** The kernel's side of the tree, and onoff on it. */
export class GpioTree {
  readonly root: string;
  /** Errors of the next calls on a path (below the directory), e.g. `gpio536/edge`; `null` in place of an error lets one pass. */
  readonly failures = new Map<string, (string | null)[]>();
  /** Every write: path and text, in order. */
  readonly writes: string[] = [];
  /** Level of each pin at the moment it was given back to the kernel; some chips keep it. */
  readonly levelWhenGivenBack = new Map<number, string>();
  readonly onoff: OnoffModule;
  readonly #pollers = new Map<number, () => void>();
  #watched = 0;

  constructor(root: string) {
    this.root = root;
    this.onoff = loadWith("onoff", { fs: this.#fileCalls(), epoll: { Epoll: this.#epoll() } }) as OnoffModule;
  }

  /** Pins that are watched now. */
  get watched(): number {
    return this.#watched;
  }

  /** What a pin's file holds, e.g. `read(536, "value")`. */
  read(number: number, file: string): string {
    return fs.readFileSync(join(this.root, DIRECTORY, `gpio${number}`, file), "utf8").trim();
  }

  isExported(number: number): boolean {
    return fs.existsSync(join(this.root, DIRECTORY, `gpio${number}`));
  }

  /** A pin as the kernel makes it, or as a crash left it. */
  export(number: number, settings: Readonly<Record<string, string>> = {}): void {
    const folder = join(this.root, DIRECTORY, `gpio${number}`);
    fs.mkdirSync(folder, { recursive: true });
    const files = { direction: "in", edge: "none", active_low: "0", value: "0", ...settings };
    for (const [file, text] of Object.entries(files)) fs.writeFileSync(join(folder, file), `${text}\n`);
  }

  /** One falling edge on a pin's wire: the value low, and the poller told; nothing happens in the kernel while it is not exported. */
  fall(number: number): void {
    if (!this.isExported(number)) return;
    fs.writeFileSync(join(this.root, DIRECTORY, `gpio${number}`, "value"), "0\n");
    for (const poll of this.#pollers.values()) poll();
  }

  #epoll() {
    const tree = this;
    return class {
      static readonly EPOLLPRI = 2;
      readonly #callback: (error: null, fd: number, events: number) => void;

      constructor(callback: (error: null, fd: number, events: number) => void) {
        this.#callback = callback;
      }

      add(fd: number): void {
        tree.#watched += 1;
        tree.#pollers.set(fd, () => this.#callback(null, fd, 2));
      }

      remove(fd: number): void {
        tree.#watched -= 1;
        tree.#pollers.delete(fd);
      }
    };
  }

  /** Node's file calls, with paths led to the tree and the kernel's answers to writes. */
  #fileCalls() {
    const at = (path: string): string => join(this.root, path);
    return {
      ...fs,
      existsSync: (path: string) => fs.existsSync(at(path)),
      readFileSync: (path: string) => fs.readFileSync(at(path)),
      openSync: (path: string, flags: string) => {
        this.#mayFail(path, "open");
        return fs.openSync(at(path), flags);
      },
      writeFileSync: (path: string, data: string | Uint8Array) => {
        this.#mayFail(path, "open");
        const text = typeof data === "string" ? data : Buffer.from(data).toString();
        this.writes.push(`${path.slice(DIRECTORY.length + 1)}=${text}`);
        this.#answer(path, text);
      },
    };
  }

  #mayFail(path: string, syscall: string): void {
    const failure = this.failures.get(path.slice(DIRECTORY.length + 1))?.shift();
    if (failure !== undefined && failure !== null) throw systemError(failure, syscall);
  }

  /** What the kernel does when a file is written (Documentation/admin-guide/gpio/sysfs.rst). */
  #answer(path: string, text: string): void {
    const folder = join(this.root, path, "..");
    if (path.endsWith("/unexport")) {
      this.levelWhenGivenBack.set(Number(text), this.read(Number(text), "value"));
      fs.rmSync(join(folder, `gpio${text}`), { recursive: true });
    } else if (path.endsWith("/export")) this.export(Number(text));
    else if (path.endsWith("/direction") && (text === "low" || text === "high")) {
      fs.writeFileSync(join(folder, "direction"), "out\n");
      fs.writeFileSync(join(folder, "value"), text === "high" ? "1\n" : "0\n");
    } else fs.writeFileSync(join(this.root, path), `${text}\n`);
  }
}
