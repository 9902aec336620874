// The kernel's side of the GPIO character device at its binary interface: structures read and written at the offsets of
// linux/gpio.h, counted here once more from the header and not taken from the code under test. Pins are moved by hand.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import type { KernelCalls } from "../../hardware/gpio/kernel-calls.ts";
import { systemError } from "./register-chip.ts";

/** What the kernel keeps for a line at most, then it forgets the oldest (drivers/gpio/gpiolib-cdev.c). */
const KEPT = 1024;

const [INPUT, OUTPUT, FALLING] = [0x4, 0x8, 0x20];
const EVENT_BYTES = 48;
const FALLING_EDGE = 2;

export type KernelChip = {
  readonly device: string;
  /** The kernel's own name; a second device of one chip has the same. */
  readonly name?: string;
  readonly label: string;
  readonly lines: number;
  readonly names?: Readonly<Record<number, string>>;
};

type Event = { readonly nanoseconds: bigint; readonly sequence: number };
type Line = { level: 0 | 1; consumer: string | null; flags: number; file: number | null; sequence: number };
type OpenFile = { readonly chip: KernelChip; readonly offset: number | null; events: Event[]; waits: boolean };

/** Chips with devices below `root`, whose files must exist there. */
export class GpioKernel {
  readonly calls: KernelCalls;
  /** Errors of the next calls by their name: `open`, `ioctl 07` by its number, `read`. */
  readonly failures = new Map<string, string[]>();
  readonly #root: string;
  readonly #chips: readonly KernelChip[];
  readonly #now: () => number;
  readonly #lines = new Map<string, Line>();
  readonly #files = new Map<number, OpenFile>();
  #nextFile = 100;

  /** `now` gives seconds of the monotonic clock. */
  constructor(root: string, chips: readonly KernelChip[], now: () => number) {
    this.#root = root;
    this.#chips = chips;
    this.#now = now;
    this.calls = {
      open: (path) => this.#open(path),
      ioctl: (file, request, data) => this.#ioctl(file, request, data),
      read: (file, into) => this.#read(file, into),
      neverWait: (file) => {
        this.#fileOf(file).waits = false;
      },
      close: (file) => this.#close(file),
    };
  }

  get openFiles(): number {
    return this.#files.size;
  }

  /** What a line is now, e.g. `line("pinctrl-rp1", 17)`. */
  line(label: string, offset: number): Readonly<Line> {
    return this.#line(this.#chips.find((chip) => chip.label === label)!, offset);
  }

  /** Somebody else takes a line. */
  hold(label: string, offset: number, consumer: string): void {
    this.#line(this.#chips.find((chip) => chip.label === label)!, offset).consumer = consumer;
  }

  /** It gives it back. */
  free(label: string, offset: number): void {
    this.#line(this.#chips.find((chip) => chip.label === label)!, offset).consumer = null;
  }

  /** One falling edge on the wire, now. */
  fall(label: string, offset: number): void {
    const line = this.#line(this.#chips.find((chip) => chip.label === label)!, offset);
    line.level = 0;
    if (line.file === null || (line.flags & FALLING) === 0) return;
    line.sequence += 1;
    const { events } = this.#fileOf(line.file);
    events.push({ nanoseconds: BigInt(Math.round(this.#now() * 1e9)), sequence: line.sequence });
    if (events.length > KEPT) events.shift();
  }

  /** The process dies: every file closes, levels stay as this chip leaves them. */
  die(): void {
    for (const file of [...this.#files.keys()]) this.#close(file);
  }

  #open(path: string): number {
    this.#mayFail("open");
    const device = path.slice(join(this.#root, "/dev/").length);
    const chip = this.#chips.find((known) => known.device === device);
    if (chip === undefined || !readdirSync(join(this.#root, "/dev")).includes(device))
      throw systemError("ENOENT", "open");
    return this.#file({ chip, offset: null, events: [], waits: true });
  }

  #ioctl(file: number, request: number, data: Uint8Array): void {
    const number = request & 0xff;
    this.#mayFail(`ioctl ${number.toString(16).padStart(2, "0")}`);
    if (((request >>> 16) & 0x3fff) !== data.byteLength || ((request >>> 8) & 0xff) !== 0xb4)
      throw systemError("ENOTTY", "ioctl");
    const opened = this.#fileOf(file);
    const fields = new DataView(data.buffer, data.byteOffset, data.byteLength);
    if (opened.offset === null) this.#ofChip(opened.chip, number, data, fields);
    else this.#ofLine(this.#line(opened.chip, opened.offset), number, fields);
  }

  #ofChip(chip: KernelChip, number: number, data: Uint8Array, fields: DataView): void {
    if (number === 0x01) {
      put(data, 0, chip.name ?? chip.device);
      put(data, 32, chip.label);
      fields.setUint32(64, chip.lines, true);
      return;
    }
    const offset = fields.getUint32(number === 0x05 ? 64 : 0, true);
    if (offset >= chip.lines) throw systemError("EINVAL", "ioctl");
    const line = this.#line(chip, offset);
    if (number === 0x05) {
      put(data, 0, chip.names?.[offset] ?? "");
      put(data, 32, line.consumer ?? "");
      fields.setUint32(72, (line.consumer === null ? 0 : 1) | line.flags, true);
      return;
    }
    if (number !== 0x07) throw systemError("EINVAL", "ioctl");
    if (line.consumer !== null) throw systemError("EBUSY", "ioctl");
    const flags = fields.getUint32(288, true);
    if (fields.getUint32(560, true) !== 1 || !isPossible(flags)) throw systemError("EINVAL", "ioctl");
    const made = this.#file({ chip, offset, events: [], waits: true });
    Object.assign(line, { consumer: text(data, 256), flags, file: made, sequence: 0 });
    if ((flags & OUTPUT) !== 0) line.level = 0;
    fields.setInt32(588, made, true);
  }

  #ofLine(line: Line, number: number, fields: DataView): void {
    if (number === 0x0d) {
      if (!isPossible(fields.getUint32(0, true))) throw systemError("EINVAL", "ioctl");
      line.flags = fields.getUint32(0, true);
    } else if (number === 0x0e) {
      if ((fields.getUint8(8) & 1) === 0) throw systemError("EINVAL", "ioctl");
      fields.setUint8(0, line.level);
    } else if (number === 0x0f) {
      if ((line.flags & OUTPUT) === 0) throw systemError("EPERM", "ioctl");
      if ((fields.getUint8(8) & 1) === 1) line.level = fields.getUint8(0) === 1 ? 1 : 0;
    } else throw systemError("EINVAL", "ioctl");
  }

  #read(file: number, into: Uint8Array): number {
    this.#mayFail("read");
    const opened = this.#fileOf(file);
    if (opened.events.length === 0 && opened.waits) throw new Error("this read would hang for ever");
    const events = opened.events.splice(0, Math.floor(into.byteLength / EVENT_BYTES));
    const fields = new DataView(into.buffer, into.byteOffset, into.byteLength);
    for (const [index, { nanoseconds, sequence }] of events.entries()) {
      const at = index * EVENT_BYTES;
      fields.setBigUint64(at, nanoseconds, true);
      fields.setUint32(at + 8, FALLING_EDGE, true);
      fields.setUint32(at + 12, opened.offset ?? 0, true);
      fields.setUint32(at + 16, sequence, true);
      fields.setUint32(at + 20, sequence, true);
    }
    return events.length * EVENT_BYTES;
  }

  #close(file: number): void {
    const { chip, offset } = this.#fileOf(file);
    this.#files.delete(file);
    if (offset !== null) Object.assign(this.#line(chip, offset), { consumer: null, file: null });
  }

  #line(chip: KernelChip, offset: number): Line {
    const key = `${chip.label} ${offset}`;
    const known = this.#lines.get(key) ?? { level: 0, consumer: null, flags: INPUT, file: null, sequence: 0 };
    this.#lines.set(key, known);
    return known;
  }

  #file(opened: OpenFile): number {
    this.#nextFile += 1;
    this.#files.set(this.#nextFile, opened);
    return this.#nextFile;
  }

  #fileOf(file: number): OpenFile {
    const opened = this.#files.get(file);
    if (opened === undefined) throw systemError("EBADF", "ioctl");
    return opened;
  }

  #mayFail(call: string): void {
    const failure = this.failures.get(call)?.shift();
    if (failure !== undefined) throw systemError(failure, call);
  }
}

/** One direction, edges on inputs only, at most one bias (`gpio_v2_line_flags_validate`). */
function isPossible(flags: number): boolean {
  const direction = flags & (INPUT | OUTPUT);
  const bias = flags & 0x700;
  if (direction !== INPUT && direction !== OUTPUT) return false;
  if ((flags & 0x30) !== 0 && direction !== INPUT) return false;
  return (bias & (bias - 1)) === 0;
}

function put(into: Uint8Array, at: number, words: string): void {
  into.set(new TextEncoder().encode(`${words}\0`).subarray(0, 32), at);
}

function text(bytes: Uint8Array, at: number): string {
  return new TextDecoder().decode(bytes.subarray(at, bytes.indexOf(0, at)));
}
