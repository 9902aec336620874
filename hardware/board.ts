// The real machine: its I2C adapters through `i2c-bus`, its GPIO lines through the kernel's interface that fits, its kernel
// files. Packages are loaded when first needed, so that a laptop without them runs everything else. It adds no retry or deadline.
import { constants } from "node:fs";
import { access, readdir, readFile, rename, writeFile } from "node:fs/promises";
import { systemClock } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { chooseGpio } from "./gpio/choose.ts";
import type { FreeLine, GpioInterface, GpioInterfaceName } from "./gpio/interface.ts";
import { type KernelCalls, type KoffiModule, kernelCalls } from "./gpio/kernel-calls.ts";
import type { OnoffModule } from "./gpio/sysfs-lines.ts";
import { type I2cBusModule, openI2cHandle } from "./i2c-handle.ts";
import { Lane } from "./lane.ts";
import type { Bias, Board, Clock, EdgeLine, I2cHandle, LineChip, LineSpec, OutputLine } from "./ports.ts";

/** How the packages are found; tests give doubles that work on a tree of their own. */
export type BoardPackages = {
  readonly onoff: () => Promise<OnoffModule>;
  readonly i2cBus: () => Promise<I2cBusModule>;
  readonly kernelCalls: () => Promise<KernelCalls>;
};

export type RealBoardOptions = {
  /** Put before every absolute path of the kernel; empty on a real machine. */
  readonly root?: string;
  /**
   * File that lists the release files of open outputs, one a line, for the unit's release step; null = none is written.
   * Without this option it is `outputs` in the folder that systemd made for the service, and none where there is no such folder.
   */
  readonly outputRecord?: string | null;
  /** How lines are reached; null or left out = by the interface that this machine offers. */
  readonly gpio?: GpioInterfaceName | null;
  readonly clock?: Clock;
  readonly packages?: Partial<BoardPackages>;
};

/** This very machine, with what the operator should know of how it is reached. */
export type Machine = Board & {
  /** Grows while lines are opened. */
  readonly warnings: readonly string[];
};

/** This machine's own buses and lines. Opens nothing yet. */
export async function realBoard(options: RealBoardOptions = {}): Promise<Machine> {
  return new RealBoard(options, options.clock ?? (await systemClock()));
}

class RealBoard implements Machine {
  readonly simulated = false;
  readonly warnings: string[] = [];
  readonly clock: Clock;
  readonly #root: string;
  readonly #outputRecord: string | null;
  readonly #packages: BoardPackages;
  readonly #recording = new Lane("record of outputs");
  readonly #wanted: GpioInterfaceName | null;
  readonly #taken = new Set<string>();
  readonly #outputs = new Map<OutputLine, string | null>();
  readonly #others = new Set<{ close(): Promise<void> }>();
  #gpio: Promise<GpioInterface> | null = null;

  constructor(options: RealBoardOptions, clock: Clock) {
    this.clock = clock;
    this.#root = options.root ?? "";
    this.#outputRecord = options.outputRecord === undefined ? recordInRuntimeFolder() : options.outputRecord;
    this.#wanted = options.gpio ?? null;
    this.#packages = {
      onoff: () => loadPackage<OnoffModule>("onoff", "Gpio"),
      i2cBus: () => loadPackage<I2cBusModule>("i2c-bus", "openPromisified"),
      kernelCalls: async () => kernelCalls(await loadPackage<KoffiModule>("koffi", "load")),
      ...options.packages,
    };
  }

  async i2c(bus: number): Promise<I2cHandle> {
    const place = `i2c-${bus}`;
    try {
      await access(`${this.#root}/dev/i2c-${bus}`, constants.R_OK | constants.W_OK);
    } catch (cause) {
      throw fromErrno(cause, place, "i2c");
    }
    const handle = await openI2cHandle(await this.#packages.i2cBus(), bus);
    return this.#keep(handle);
  }

  edgeLine(spec: LineSpec, bias: Bias): Promise<EdgeLine> {
    return this.#openLine(spec, async (line) => this.#keep(await line.openEdge(bias)));
  }

  outputLine(spec: LineSpec): Promise<OutputLine> {
    return this.#openLine(spec, async (line) => {
      const output = await line.openOutput();
      this.#outputs.set(output, line.releaseFile);
      try {
        await this.#recording.run(() => this.#recordOutputs());
      } catch (cause) {
        this.#outputs.delete(output);
        await output.close();
        throw cause;
      }
      return output;
    });
  }

  async lineChips(): Promise<readonly LineChip[]> {
    return (await this.#interface()).chips();
  }

  async readText(path: string): Promise<string> {
    try {
      return await readFile(`${this.#root}${path}`, "utf8");
    } catch (cause) {
      throw fromErrno(cause, path, "file");
    }
  }

  async list(path: string): Promise<readonly string[]> {
    try {
      return (await readdir(`${this.#root}${path}`)).toSorted();
    } catch (cause) {
      throw fromErrno(cause, path, "file");
    }
  }

  /** Outputs first: they are released before anything else can fail. */
  async close(): Promise<void> {
    const outcomes = await Promise.allSettled([...this.#outputs.keys()].map((output) => output.close()));
    outcomes.push(...(await Promise.allSettled([...this.#others].map((other) => other.close()))));
    this.#outputs.clear();
    this.#others.clear();
    const failed = outcomes.find((outcome) => outcome.status === "rejected");
    if (failed !== undefined) throw failed.reason;
  }

  /** A line is opened once at a time: through sysfs the kernel would hand an exported pin to a second opener without a word. */
  async #openLine<Line extends { close(): Promise<void> }>(
    spec: LineSpec,
    open: (line: FreeLine) => Promise<Line>,
  ): Promise<Line> {
    const line = await (await this.#interface()).find(spec);
    if (this.#taken.has(line.key)) throw new HardwareError("LINE_BUSY", line.place, "this program has it open");
    this.#taken.add(line.key);
    try {
      const opened = await open(line);
      const close = opened.close.bind(opened);
      opened.close = () => close().finally(() => this.#taken.delete(line.key));
      return opened;
    } catch (cause) {
      this.#taken.delete(line.key);
      throw cause;
    }
  }

  /** The same for all lines; a choice that failed is made again with the next line. */
  #interface(): Promise<GpioInterface> {
    const { onoff, kernelCalls: calls } = this.#packages;
    const onFallback = (why: string): void => void this.warnings.push(why);
    const choice = { root: this.#root, clock: this.clock, wanted: this.#wanted, onoff, kernelCalls: calls, onFallback };
    this.#gpio ??= chooseGpio(choice).catch((cause: unknown) => {
      this.#gpio = null;
      throw cause;
    });
    return this.#gpio;
  }

  /** Remembers what must be closed at the end, and forgets it when its owner closes it: handles are reopened for years. */
  #keep<Closable extends { close(): Promise<void> }>(opened: Closable): Closable {
    const close = opened.close.bind(opened);
    opened.close = () => {
      this.#others.delete(opened);
      return close();
    };
    this.#others.add(opened);
    return opened;
  }

  /** Whole or not at all, for it is read when this process has died. */
  async #recordOutputs(): Promise<void> {
    if (this.#outputRecord === null) return;
    const paths = [...this.#outputs.values()].flatMap((path) => (path === null ? [] : [`${path}\n`]));
    try {
      await writeFile(`${this.#outputRecord}.new`, paths.join(""));
      await rename(`${this.#outputRecord}.new`, this.#outputRecord);
    } catch (cause) {
      throw fromErrno(cause, this.#outputRecord, "file");
    }
  }
}

/** systemd gives RuntimeDirectory= in the environment, several folders with colons between (systemd.exec(5)). */
function recordInRuntimeFolder(): string | null {
  const { RUNTIME_DIRECTORY: folders } = process.env;
  const folder = folders?.split(":")[0] ?? "";
  return folder === "" ? null : `${folder}/outputs`;
}

/**
 * Loads an optional package by a name that the compiler does not follow, for it may be missing where this runs. Rejects with
 * PACKAGE_MISSING when it cannot be loaded or does not export `member`.
 */
export async function loadPackage<Module extends object>(name: string, member: keyof Module): Promise<Module> {
  let module: Partial<Module> & { readonly default?: Partial<Module> };
  try {
    module = await import(name);
  } catch (cause) {
    const detail = cause instanceof Error ? cause.message.split("\n")[0] : String(cause);
    throw new HardwareError("PACKAGE_MISSING", name, detail, { cause });
  }
  const found = module[member] === undefined ? module.default : module;
  if (found?.[member] === undefined) throw new HardwareError("PACKAGE_MISSING", name, `it has no ${String(member)}`);
  return found as Module;
}
