// Simulated GPIO: the tach line as an input with edges, outputs with read-back, and the contacts that the rig sees.
// Lines are opened once, as the kernel does; it never knows what a permit means to anybody.

import { headerOffset } from "../gpio/header-lines.ts";
import { headerLine } from "../header.ts";
import { placeOfLine } from "../place.ts";
import type { Cancel, Clock, EdgeLine, HardwareSpec, LineChip, LineSpec, OutputLine, Permits } from "../ports.ts";
import { type CallGate, systemError } from "./calls.ts";
import type { FaultScript } from "./faults.ts";
import type { SimulatedFeedpoint } from "./feedpoint.ts";

/** What the lines hang on. */
export type LinesOptions = {
  readonly spec: Pick<HardwareSpec, "tachometer" | "ptt" | "relay" | "fanCut" | "pulse">;
  readonly clock: Clock;
  readonly gate: CallGate;
  readonly faults: FaultScript;
  /** How often edges are handed over, s of the board's clock. */
  readonly batchSeconds: number;
  readonly oneShot: OneShot | null;
};

type PermitLine = "reduce" | "inhibit";

/** The header's own chip; lines beyond do not exist. */
const HEADER_LABEL = "pinctrl-bcm2711";
const LINES = 54;

/** However a line of the header is written, it is one line. */
function keyOf(line: LineSpec): string {
  const offset = headerOffset(line);
  if (offset !== null) return `header ${offset}`;
  return "offset" in line ? `${line.chipLabel} ${line.offset}` : placeOfLine(line);
}

/** The header's lines are there, and those of any chip that is named. */
function exists(line: LineSpec): boolean {
  const offset = headerOffset(line) ?? ("offset" in line ? line.offset : null);
  return offset !== null && Number.isInteger(offset) && offset >= 0 && offset < LINES;
}

/** The retriggerable one-shot in the common return of both relay coils. */
export class OneShot {
  readonly #seconds: number;
  readonly #now: () => number;
  #level: 0 | 1 = 0;
  #edgeSeconds = Number.NEGATIVE_INFINITY;

  /** Holds for `seconds` after each rising edge. */
  constructor(seconds: number, now: () => number) {
    this.#seconds = seconds;
    this.#now = now;
  }

  write(level: 0 | 1): void {
    if (level === 1 && this.#level === 0) this.#edgeSeconds = this.#now();
    this.#level = level;
  }

  holds(): boolean {
    return this.#now() - this.#edgeSeconds <= this.#seconds;
  }
}

/** The two permit contacts. Without a relay in the specification both stand permitted. */
export class PermitContacts {
  readonly #fitted: boolean;
  readonly #faults: FaultScript;
  readonly #oneShot: OneShot | null;
  readonly #written: Record<PermitLine, 0 | 1> = { reduce: 0, inhibit: 0 };

  /** `oneShot`, where fitted, lets go of both relays when nobody pulses it. */
  constructor(fitted: boolean, faults: FaultScript, oneShot: OneShot | null) {
    this.#fitted = fitted;
    this.#faults = faults;
    this.#oneShot = oneShot;
  }

  write(line: PermitLine, level: 0 | 1): void {
    this.#written[line] = level;
  }

  /** Level of the pin. */
  level(line: PermitLine): 0 | 1 {
    return this.#faults.ofLine("relay stuck", line)?.level ?? this.#written[line];
  }

  /** What the rig sees. */
  permits(): Permits {
    if (!this.#fitted) return { reduce: true, inhibit: true };
    const held = this.#oneShot === null || this.#oneShot.holds();
    return { reduce: held && this.level("reduce") === 1, inhibit: held && this.level("inhibit") === 1 };
  }
}

/** All lines of the simulated header. */
export class SimulatedLines {
  readonly #options: LinesOptions;
  readonly #feedpoint: SimulatedFeedpoint;
  readonly #contacts: PermitContacts;
  readonly #open = new Set<string>();

  constructor(options: LinesOptions, feedpoint: SimulatedFeedpoint, contacts: PermitContacts) {
    this.#options = options;
    this.#feedpoint = feedpoint;
    this.#contacts = contacts;
  }

  /** The header's chip alone, its lines named as the kernel names them. */
  chips(): readonly LineChip[] {
    this.#options.gate.pass("open");
    const names = Array.from({ length: LINES }, (_, offset) => headerLine(offset)?.name ?? null);
    return [{ name: "gpiochip0", label: HEADER_LABEL, lines: LINES, names: async () => names }];
  }

  /** An input; only the tach and the PTT line ever move, others are pulled up. */
  edgeLine(spec: LineSpec): EdgeLine {
    const key = this.#take(spec, "open");
    const { tachometer, ptt } = this.#options.spec;
    const isTach = tachometer?.kind === "gpio" && keyOf(tachometer.line) === key;
    const cancels = new Set<Cancel>();
    return {
      stampedBy: "kernel",
      lostEdges: 0,
      onEdge: (listener) => {
        if (!isTach) return () => {};
        const cancel = this.#listen(listener);
        cancels.add(cancel);
        return () => {
          cancels.delete(cancel);
          cancel();
        };
      },
      read: async () => {
        this.#options.gate.pass("read");
        this.#feedpoint.advance();
        if (ptt !== null && keyOf(ptt.line) === key) return this.#pttLevel(ptt.keyedLevel);
        return isTach ? this.#feedpoint.fan.tachLevel : 1;
      },
      close: async () => {
        for (const cancel of cancels) cancel();
        cancels.clear();
        this.#open.delete(key);
      },
    };
  }

  /** An output, low at first and again when closed. */
  outputLine(spec: LineSpec): OutputLine {
    const key = this.#take(spec, "open");
    const permit = this.#permitOf(key);
    const follows = this.#followerOf(key);
    let level: 0 | 1 = 0;
    const put = (wanted: 0 | 1): void => {
      // What happened up to now happened with the old level.
      this.#feedpoint.advance();
      level = wanted;
      if (permit !== null) this.#contacts.write(permit, wanted);
      follows(wanted);
    };
    put(0);
    return {
      write: async (wanted) => {
        this.#options.gate.pass("write");
        if (!this.#open.has(key)) throw systemError("EBADF", "write");
        put(wanted);
      },
      read: async () => {
        this.#options.gate.pass("read");
        if (!this.#open.has(key)) throw systemError("EBADF", "read");
        if (permit === null) return level;
        const shown = this.#contacts.level(permit);
        return this.#options.faults.ofLine("relay misread", permit) === null ? shown : shown === 1 ? 0 : 1;
      },
      close: async () => {
        if (!this.#open.has(key)) return;
        put(0);
        this.#open.delete(key);
      },
    };
  }

  #pttLevel(keyedLevel: 0 | 1): 0 | 1 {
    return this.#feedpoint.station().transmitting ? keyedLevel : keyedLevel === 1 ? 0 : 1;
  }

  #take(spec: LineSpec, syscall: string): string {
    this.#options.gate.pass(syscall);
    if (!exists(spec)) throw systemError("EINVAL", syscall);
    const key = keyOf(spec);
    if (this.#open.has(key)) throw systemError("EBUSY", syscall);
    this.#open.add(key);
    return key;
  }

  #permitOf(key: string): PermitLine | null {
    const { relay } = this.#options.spec;
    if (relay === null) return null;
    if (keyOf(relay.reduce) === key) return "reduce";
    return keyOf(relay.inhibit) === key ? "inhibit" : null;
  }

  /** What hangs on a line beside the permit relays. */
  #followerOf(key: string): (level: 0 | 1) => void {
    const { spec, oneShot } = this.#options;
    if (spec.fanCut !== null && keyOf(spec.fanCut) === key) return (level) => this.#feedpoint.cutFan(level === 1);
    if (spec.pulse !== null && keyOf(spec.pulse) === key) return (level) => oneShot?.write(level);
    return () => {};
  }

  /** Edges come with their own times, in batches: whenever the feedpoint moves, and at least every `batchSeconds`. */
  #listen(listener: (atSeconds: number) => void): Cancel {
    const { clock, batchSeconds } = this.#options;
    const cancelEdges = this.#feedpoint.onEdges((edges) => {
      for (const edge of edges) listener(edge);
    });
    let cancelTimer: Cancel = () => {};
    const pump = (): void => {
      this.#feedpoint.advance();
      cancelTimer = clock.after(batchSeconds, pump);
    };
    cancelTimer = clock.after(batchSeconds, pump);
    return () => {
      cancelTimer();
      cancelEdges();
    };
  }
}
