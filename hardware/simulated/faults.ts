// Everything that can be made to go wrong in the simulated feedpoint, as plain data with a beginning and an end.
// It only answers what is wrong at a moment; what follows from it is done where the thing is simulated.

/** When a fault holds: seconds since the simulation began; `endSeconds` null = for good. */
type Span = { readonly startSeconds: number; readonly endSeconds: number | null };

/** Name of a part as in the hardware specification: a sensor's name, `supply` or `drive`. */
type PartName = string;

/** What goes wrong. A `part` is named as in the hardware specification. */
export type Trouble =
  /** The rotor stops within a fraction of a second. */
  | { readonly kind: "fan stall" }
  /** The rotor jams for a moment, and the fan's own driver then stays off until its supply was off for a second. */
  | { readonly kind: "fan lockout" }
  | { readonly kind: "fan slow"; readonly speedRatio: number }
  /** Speed swings by ± `depth` of itself. */
  | { readonly kind: "fan surging"; readonly depth: number; readonly periodSeconds: number }
  /** Speeding up takes this long instead of about a second. */
  | { readonly kind: "fan slow start"; readonly timeConstantSeconds: number }
  /** The fan turns, the line stays high. */
  | { readonly kind: "tach lead lost" }
  /** Edges at random times on top of the true ones. */
  | { readonly kind: "tach noise"; readonly edgesPerSecond: number }
  /** Flow factor falls to `flowFactor` over `rampSeconds`. */
  | { readonly kind: "vents clogged"; readonly flowFactor: number; readonly rampSeconds: number }
  | { readonly kind: "chip silent"; readonly part: PartName }
  /** SDA held low: every transfer on the bus times out. */
  | { readonly kind: "bus stuck"; readonly bus: number }
  /** The reading stays what it was when the fault began. */
  | { readonly kind: "value stuck"; readonly part: PartName }
  /** Random bytes instead of the chip's. */
  | { readonly kind: "garbage bytes"; readonly part: PartName }
  /** A byte of each reading is flipped, so that the checksum fails where there is one. */
  | { readonly kind: "checksum wrong"; readonly part: PartName }
  /** The chip has just been powered and never gets on: 85 °C on 1-wire, the reset value of its register elsewhere. */
  | { readonly kind: "power-on value"; readonly part: PartName }
  | {
      readonly kind: "chip offset";
      readonly part: PartName;
      readonly kelvin: number;
      readonly kelvinPerHour: number;
    }
  /** Somebody fitted the inlet sensor at the outlet. */
  | { readonly kind: "air sensors swapped" }
  | { readonly kind: "supply sag"; readonly volts: number }
  /** Water on the core: its loss times `lossFactor`. */
  | { readonly kind: "wet core"; readonly lossFactor: number }
  /** The line stays at `level` whatever is written, and reads so. */
  | { readonly kind: "relay stuck"; readonly line: "reduce" | "inhibit"; readonly level: 0 | 1 }
  /** The relay follows, the read-back is the opposite. */
  | { readonly kind: "relay misread"; readonly line: "reduce" | "inhibit" }
  /** The wall clock is wrong by this much meanwhile; monotonic time goes on. */
  | { readonly kind: "wall clock jump"; readonly seconds: number }
  /** Calls number `first` … `first + count − 1` since the board was opened fail; bus, line and file calls count alike. */
  | { readonly kind: "calls fail"; readonly first: number; readonly count: number; readonly errno: string }
  /** Radio frequency gets into the wiring: while transmitting, a transfer fails or lies with this probability. */
  | { readonly kind: "RF upset"; readonly probability: number; readonly effect: "silent" | "garbage" };

/** One scripted fault. */
export type Fault = Span & Trouble;
export type FaultKind = Trouble["kind"];
/** The fault of one kind, with its own fields. */
export type FaultOf<Kind extends FaultKind> = Span & Extract<Trouble, { kind: Kind }>;

/** The most faults one script holds. */
const MOST_FAULTS = 1000;

/** Faults by time. More may be added while it runs. */
export class FaultScript {
  readonly #faults: Fault[] = [];
  readonly #now: () => number;

  /** `now` gives seconds since the simulation began. */
  constructor(now: () => number, faults: readonly Fault[] = []) {
    this.#now = now;
    for (const fault of faults) this.add(fault);
  }

  /** Adds a fault; returns what ends it at once. Throws RangeError when its span or a figure makes no sense. */
  add(fault: Fault): () => void {
    checkFault(fault);
    if (this.#faults.length >= MOST_FAULTS) throw new RangeError(`a script holds at most ${MOST_FAULTS} faults`);
    this.#faults.push(fault);
    return () => {
      const at = this.#faults.indexOf(fault);
      if (at >= 0) this.#faults.splice(at, 1);
    };
  }

  /** The first fault of this kind that holds now and passes `where`. */
  find<Kind extends FaultKind>(kind: Kind, where?: (fault: FaultOf<Kind>) => boolean): FaultOf<Kind> | null {
    if (this.#faults.length === 0) return null;
    const now = this.#now();
    for (const fault of this.#faults) {
      if (fault.kind !== kind || now < fault.startSeconds) continue;
      if (fault.endSeconds !== null && now >= fault.endSeconds) continue;
      if (where === undefined || where(fault as FaultOf<Kind>)) return fault as FaultOf<Kind>;
    }
    return null;
  }

  /** The first fault of this kind that holds now for a part. */
  ofPart<Kind extends FaultKind & Extract<Trouble, { part: PartName }>["kind"]>(
    kind: Kind,
    part: PartName,
  ): FaultOf<Kind> | null {
    return this.find(kind, (fault) => (fault as { part?: PartName }).part === part);
  }

  /** The first fault of this kind and line that holds now. */
  ofLine<Kind extends "relay stuck" | "relay misread">(kind: Kind, line: "reduce" | "inhibit"): FaultOf<Kind> | null {
    return this.find(kind, (fault) => (fault as { line?: string }).line === line);
  }
}

function checkFault(fault: Fault): void {
  const { kind, startSeconds, endSeconds } = fault;
  const demand = (holds: boolean, what: string) => {
    if (!holds) throw new RangeError(`fault "${kind}": ${what}`);
  };
  demand(startSeconds >= 0, `it begins at 0 s or later, not ${startSeconds}`);
  demand(endSeconds === null || endSeconds >= startSeconds, `it ends at ${endSeconds} s, before it begins`);
  switch (kind) {
    case "fan slow":
      demand(fault.speedRatio >= 0 && fault.speedRatio <= 1.5, "speedRatio is 0 to 1.5");
      break;
    case "fan surging":
      demand(fault.depth >= 0 && fault.depth <= 1 && fault.periodSeconds > 0, "depth is 0 to 1, the period above 0 s");
      break;
    case "fan slow start":
      demand(fault.timeConstantSeconds > 0, "the time constant is above 0 s");
      break;
    case "tach noise":
      demand(fault.edgesPerSecond >= 0 && fault.edgesPerSecond <= 20_000, "edgesPerSecond is 0 to 20 000");
      break;
    case "vents clogged":
      demand(fault.flowFactor >= 0 && fault.flowFactor <= 1 && fault.rampSeconds >= 0, "flowFactor is 0 to 1");
      break;
    case "supply sag":
      demand(fault.volts >= 0, "volts are 0 or more");
      break;
    case "wet core":
      demand(fault.lossFactor > 0, "lossFactor is above 0");
      break;
    case "calls fail":
      demand(Number.isInteger(fault.first) && fault.first >= 1 && fault.count >= 1, "calls count from 1");
      break;
    case "RF upset":
      demand(fault.probability >= 0 && fault.probability <= 1, "probability is 0 to 1");
      break;
    case "fan stall":
    case "fan lockout":
    case "tach lead lost":
    case "chip silent":
    case "bus stuck":
    case "value stuck":
    case "garbage bytes":
    case "checksum wrong":
    case "power-on value":
    case "chip offset":
    case "air sensors swapped":
    case "relay stuck":
    case "relay misread":
    case "wall clock jump":
      break;
  }
}
