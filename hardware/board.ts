// The real machine: its I2C adapters through `i2c-bus`, its GPIO lines through `onoff`, its kernel files. Both packages are
// loaded when first needed, so that a laptop without them runs everything else. It adds no retry and no deadline.
import { constants } from "node:fs";
import { access, readdir, readFile, rename, writeFile } from "node:fs/promises";
import { systemClock } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { type NumberedLine, type OnoffModule, openEdgeLine, openOutputLine } from "./gpio.ts";
import { GPIO_DIRECTORY, lineNumber } from "./gpio-chips.ts";
import { type I2cBusModule, openI2cHandle } from "./i2c-handle.ts";
import { Lane } from "./lane.ts";
import { placeOfLine } from "./place.ts";
import type { Board, Clock, EdgeLine, I2cHandle, LineSpec, OutputLine } from "./ports.ts";

/** How the packages are found; tests give doubles that work on a tree of their own. */
export type BoardPackages = {
  readonly onoff: () => Promise<OnoffModule>;
  readonly i2cBus: () => Promise<I2cBusModule>;
};

export type RealBoardOptions = {
  /** Put before every absolute path of the kernel; empty on a real machine. */
  readonly root?: string;
  /**
   * File that lists the value files of open outputs, one a line, for the unit's release step; null = none is written.
   * Without this option it is `outputs` in the folder that systemd made for the service, and none where there is no such folder.
   */
  readonly outputRecord?: string | null;
  readonly clock?: Clock;
  readonly packages?: BoardPackages;
};

/** This machine's own buses and lines. Opens nothing yet. */
export async function realBoard(options: RealBoardOptions = {}): Promise<Board> {
  return new RealBoard(options, options.clock ?? (await systemClock()));
}

class RealBoard implements Board {
  readonly simulated = false;
  readonly clock: Clock;
  readonly #root: string;
  readonly #outputRecord: string | null;
  readonly #packages: BoardPackages;
  readonly #recording = new Lane("record of outputs");
  readonly #taken = new Set<number>();
  readonly #outputs = new Map<number, OutputLine>();
  readonly #others = new Set<{ close(): Promise<void> }>();

  constructor(options: RealBoardOptions, clock: Clock) {
    this.clock = clock;
    this.#root = options.root ?? "";
    this.#outputRecord = options.outputRecord === undefined ? recordInRuntimeFolder() : options.outputRecord;
    this.#packages = options.packages ?? {
      onoff: () => loadPackage<OnoffModule>("onoff", "Gpio"),
      i2cBus: () => loadPackage<I2cBusModule>("i2c-bus", "openPromisified"),
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

  edgeLine(spec: LineSpec): Promise<EdgeLine> {
    return this.#openLine(spec, async (onoff, line) => this.#keep(await openEdgeLine(onoff, line, this.clock)));
  }

  outputLine(spec: LineSpec): Promise<OutputLine> {
    return this.#openLine(spec, async (onoff, line) => {
      const output = await openOutputLine(onoff, line, this.clock);
      this.#outputs.set(line.number, output);
      try {
        await this.#recording.run(() => this.#recordOutputs());
      } catch (cause) {
        this.#outputs.delete(line.number);
        await output.close();
        throw cause;
      }
      return output;
    });
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
    const outcomes = await Promise.allSettled([...this.#outputs.values()].map((output) => output.close()));
    outcomes.push(...(await Promise.allSettled([...this.#others].map((other) => other.close()))));
    this.#outputs.clear();
    this.#others.clear();
    const failed = outcomes.find((outcome) => outcome.status === "rejected");
    if (failed !== undefined) throw failed.reason;
  }

  /** A line is opened once at a time: the kernel would hand an exported pin to a second opener without a word. */
  async #openLine<Line extends { close(): Promise<void> }>(
    spec: LineSpec,
    open: (onoff: OnoffModule, line: NumberedLine) => Promise<Line>,
  ): Promise<Line> {
    const line = { number: await lineNumber(this.#root, spec), place: placeOfLine(spec) };
    if (this.#taken.has(line.number)) throw new HardwareError("LINE_BUSY", line.place, "this program has it open");
    this.#taken.add(line.number);
    try {
      const opened = await open(await this.#packages.onoff(), line);
      const close = opened.close.bind(opened);
      opened.close = () => close().finally(() => this.#taken.delete(line.number));
      return opened;
    } catch (cause) {
      this.#taken.delete(line.number);
      throw cause;
    }
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
    const paths = [...this.#outputs.keys()].map((number) => `${GPIO_DIRECTORY}/gpio${number}/value\n`);
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
