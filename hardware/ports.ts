// The contract between the physical world and the daemon: types only, no code.
// Upper half: what the daemon uses. Lower half: what a board offers, real or simulated, down at registers and pins.

/** Undo of something pending; calling it twice is harmless. */
export type Cancel = () => void;

/** The only source of time. A simulated clock may run faster than the real one. */
export interface Clock {
  /** Identifies this run of the kernel (or of the simulation); monotonic times compare only within one boot. */
  readonly bootId: string;
  /** Seconds on a clock that never jumps. */
  monotonicSeconds(): number;
  /** Unix time in seconds; may jump, there is no real-time clock in the yard. */
  wallSeconds(): number;
  /** False until the system clock was synchronised since boot. */
  wallIsTrusted(): boolean;
  /** Runs `task` once after `seconds` of this clock. */
  after(seconds: number, task: () => void): Cancel;
}

/** Where a thermometer sits. */
export type Role = "inlet" | "outlet" | "wall" | "ambient" | "core";

/** What a thermometer saw; `humidityRatio` is relative humidity 0–1, null where the chip has none. */
export type ClimateSample = { readonly celsius: number; readonly humidityRatio: number | null };

/** Anything that can be asked what it is and then read. Every call has a deadline and rejects with HardwareError. */
export interface Part<Sample> {
  /** Unique within the feedpoint, e.g. `inlet`. */
  readonly name: string;
  /** The chip or kernel driver, e.g. `TMP117`. */
  readonly part: string;
  /** Where it is wired, e.g. `i2c-1 0x48`. */
  readonly place: string;
  /** Checks that the right device answers; resolves to what it said of itself, rejects with WRONG_DEVICE. */
  identify(): Promise<string>;
  /** One fresh sample, never a cached one. */
  read(): Promise<Sample>;
}

export interface TemperatureSensor extends Part<ClimateSample> {
  readonly role: Role;
}

/** Fan speed from event times. `rpm` is 0 when the line is quiet, null when the pulses make no speed. */
export type TachometerSample = {
  readonly rpm: number | null;
  /** 1 = every interval equal, 0 = noise; null on a quiet line and when the kernel gives a speed only. */
  readonly regularity: number | null;
  /** Edges rejected as noise since start. */
  readonly rejectedEdges: number;
  /** Edges that the kernel saw and the program never got, since start; null where nobody counts them. */
  readonly lostEdges: number | null;
  /** Seconds since the last good pulse; null before the first or when the kernel gives a speed only. */
  readonly secondsSinceEdge: number | null;
};

export interface Tachometer extends Part<TachometerSample> {
  /** Calls `wake` once each time the line falls quiet for `seconds` after good pulses, so that a cycle can run at once. */
  onQuiet(seconds: number, wake: () => void): Cancel;
}

export type SupplySample = { readonly volts: number; readonly amperes: number };
export type SupplyMonitor = Part<SupplySample>;

/** Raw detector voltages; the shack's side turns them into watts. */
export type DriveSample = { readonly forwardVolts: number; readonly reflectedVolts: number | null };
export type DriveDetector = Part<DriveSample>;

/** Is the transmitter's PTT line active now? */
export type PttSample = { readonly keyed: boolean };
export type PttLine = Part<PttSample> & { close(): Promise<void> };

/** Per line: true = energised = permitted. */
export type Permits = { readonly reduce: boolean; readonly inhibit: boolean };

/** The two permit lines. A dead process must leave both released. */
export interface PermitRelay {
  readonly place: string;
  permit(lines: Permits): Promise<void>;
  /** What the lines are now, read from the pins. */
  readBack(): Promise<Permits>;
  /** Releases both lines. */
  close(): Promise<void>;
}

/** An output line that is told its level and left to follow. Low when opened, and low again when closed. */
export interface DrivenLine {
  readonly place: string;
  /** Returns at once; levels are written in order. */
  put(level: 0 | 1): void;
  /** Why the line did not take its last level; null while it does. */
  readonly trouble: Error | null;
  close(): Promise<void>;
}

/** Strokes and gaps of a sound. */
export type Rhythm = { readonly onSeconds: number; readonly offSeconds: number };

/** A sounder beside the operator. It falls silent by itself when nobody asks for some seconds. */
export interface Buzzer {
  readonly place: string;
  /** Asked for anew in every cycle; null = silence. Returns at once. */
  sound(rhythm: Rhythm | null): void;
  /** Why the line did not take its last level; null while it does. */
  readonly trouble: Error | null;
  /** Silent from now on. */
  close(): Promise<void>;
}

/** Counters of one I2C bus since start. */
export type BusHealth = {
  readonly bus: string;
  readonly transfers: number;
  readonly retries: number;
  readonly reopens: number;
  readonly errors: Readonly<Record<string, number>>;
  readonly stuck: boolean;
};

/** One opened feedpoint. */
export interface Hardware {
  readonly simulated: boolean;
  readonly clock: Clock;
  readonly temperatures: readonly TemperatureSensor[];
  readonly tachometer: Tachometer | null;
  readonly supply: SupplyMonitor | null;
  readonly drive: DriveDetector | null;
  readonly ptt: PttLine | null;
  readonly relay: PermitRelay | null;
  readonly buzzer: Buzzer | null;
  /** High cuts the fan's supply: a fan that stalled is given a fresh start. */
  readonly fanCut: DrivenLine | null;
  /** Moves once a completed cycle; a one-shot behind it releases both permit relays when it stands still. */
  readonly pulse: DrivenLine | null;
  buses(): readonly BusHealth[];
  /** Releases the relay first, then everything else. */
  close(): Promise<void>;
}

// ── Lower half: a board ────────────────────────────────────────────────────────────────────────────────────────────

/** One opened I2C adapter without queue, retry or deadline: `hardware/i2c.ts` adds those. */
export interface I2cHandle {
  /** Writes the register number, repeated start, reads `length` bytes. */
  readRegister(address: number, register: number, length: number): Promise<Uint8Array>;
  /** A plain write. */
  write(address: number, bytes: Uint8Array): Promise<void>;
  /** A plain read. */
  read(address: number, length: number): Promise<Uint8Array>;
  close(): Promise<void>;
}

/**
 * A GPIO line: by its offset within a chip (`chipLabel` null = the chip of the board's header), by the name that the kernel
 * gives it (`GPIO17`; `chipLabel` null = whichever chip has it), or by its pin of the 40-pin header, counted from 1.
 */
export type LineSpec =
  | { readonly chipLabel: string | null; readonly offset: number }
  | { readonly chipLabel: string | null; readonly name: string }
  | { readonly headerPin: number };

/** A GPIO chip of the machine. */
export interface LineChip {
  /** The kernel's name such as `gpiochip0`; it may differ from boot to boot. */
  readonly name: string;
  /** What its driver calls it; this stays. */
  readonly label: string;
  readonly lines: number;
  /** Names of its lines by offset, null where one has none. */
  names(): Promise<readonly (string | null)[]>;
}

/** The processor's own weak resistor on an input; `none` leaves it off. Where it cannot be set it stays as it was. */
export type Bias = "pull-up" | "pull-down" | "none";

/** An input with falling-edge events stamped in monotonic seconds of the board's clock; its level can be read without them. */
export interface EdgeLine {
  /** Who stamps the edges: the kernel when they come, or this program when it hears of them. */
  readonly stampedBy: "kernel" | "program";
  /** Edges that the kernel saw and this program never got, since the line was opened; null where nobody counts them. */
  readonly lostEdges: number | null;
  onEdge(listener: (atSeconds: number) => void): Cancel;
  read(): Promise<0 | 1>;
  close(): Promise<void>;
}

/** An output that starts low. */
export interface OutputLine {
  write(level: 0 | 1): Promise<void>;
  read(): Promise<0 | 1>;
  close(): Promise<void>;
}

/** The machine: real in `board.ts`, simulated in `simulated/board.ts`; both feed the same drivers. */
export interface Board {
  readonly simulated: boolean;
  readonly clock: Clock;
  i2c(bus: number): Promise<I2cHandle>;
  edgeLine(spec: LineSpec, bias: Bias): Promise<EdgeLine>;
  outputLine(spec: LineSpec): Promise<OutputLine>;
  /** All GPIO chips. Rejects with LINE_MISSING where there is none. */
  lineChips(): Promise<readonly LineChip[]>;
  /** Text of a kernel file such as `/sys/class/hwmon/hwmon0/temp1_input`. */
  readText(path: string): Promise<string>;
  /** Names in a folder of the machine such as `/dev` or `/sys/class/hwmon`, sorted; rejects like `readText`. */
  list(path: string): Promise<readonly string[]>;
  close(): Promise<void>;
}

// ── What is to be opened ───────────────────────────────────────────────────────────────────────────────────────────

export type ThermometerChip = "lm75" | "tmp1075" | "tmp117" | "mcp9808" | "sht3x" | "sht4x";

export type SensorSpec = {
  readonly name: string;
  readonly role: Role;
  readonly source:
    | { readonly kind: "i2c"; readonly chip: ThermometerChip; readonly bus: number; readonly address: number }
    | { readonly kind: "hwmon"; readonly path: string }
    | { readonly kind: "one-wire"; readonly path: string };
};

/** Plain data from which `open.ts` builds a Hardware. */
export type HardwareSpec = {
  readonly sensors: readonly SensorSpec[];
  readonly tachometer:
    | { readonly kind: "gpio"; readonly line: LineSpec; readonly bias: Bias; readonly pulsesPerRevolution: number }
    | { readonly kind: "hwmon"; readonly path: string }
    | null;
  readonly supply: {
    readonly chip: "ina219" | "ina226";
    readonly bus: number;
    readonly address: number;
    readonly shuntOhms: number;
  } | null;
  readonly drive: {
    readonly chip: "ads1115";
    readonly bus: number;
    readonly address: number;
    readonly forwardChannel: 0 | 1 | 2 | 3;
    readonly reflectedChannel: 0 | 1 | 2 | 3 | null;
  } | null;
  /** `keyedLevel`: what the pin reads while the transmitter is keyed. */
  readonly ptt: { readonly line: LineSpec; readonly keyedLevel: 0 | 1 } | null;
  readonly relay: { readonly reduce: LineSpec; readonly inhibit: LineSpec } | null;
  readonly buzzer: LineSpec | null;
  readonly fanCut: LineSpec | null;
  readonly pulse: LineSpec | null;
};
