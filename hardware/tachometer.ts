// The fan's tach line: edge times in, speed and regularity out, and a call as soon as the line falls quiet. Noise can
// neither flood it (it stops listening for a while) nor pass for a speed. It never says whether the fan is healthy.
import { withDeadline } from "./clock.ts";
import { placeOfLine } from "./place.ts";
import type { Bias, Board, Cancel, Clock, EdgeLine, LineSpec, Tachometer, TachometerSample } from "./ports.ts";
import { analysePulses, EdgeGate, HIGHEST_RPM, PULSES_KEPT } from "./pulse-train.ts";
import { QuietWatch } from "./quiet-watch.ts";

/** How noise floods are seen: more edges than a doubled train of the fastest fan, within this time, s. */
const FLOOD_WINDOW_SECONDS = 0.1;
const FLOOD_FACTOR = 2.2;
/** How long the line is left alone after a flood, s. */
const FLOOD_REST_SECONDS = 0.4;

/** A line without edges for this many periods is quiet, within the bounds below. */
const QUIET_PERIODS = 10;
const SHORTEST_QUIET_SECONDS = 0.15;
const LONGEST_QUIET_SECONDS = 0.5;

/** Longest read of the line's level, s. */
const READ_SECONDS = 0.2;

/** The first may end in the very turn in which the edges are about to come. */
const TURNS_FOR_EDGES = 2;

/** Where the tach is wired and what one revolution gives. */
export type TachometerSpec = { readonly line: LineSpec; readonly bias: Bias; readonly pulsesPerRevolution: number };

/** A tachometer with a line that can be given back. */
export interface OpenedTachometer extends Tachometer {
  close(): Promise<void>;
}

/** Opens the line and listens. Rejects with the line's HardwareError. */
export async function openTachometer(spec: TachometerSpec, board: Board): Promise<OpenedTachometer> {
  const line = await board.edgeLine(spec.line, spec.bias);
  return new EdgeTachometer(line, board.clock, placeOfLine(spec.line), spec.pulsesPerRevolution);
}

class EdgeTachometer implements OpenedTachometer {
  readonly name = "tachometer";
  readonly part = "tach line";
  readonly place: string;
  readonly #line: EdgeLine;
  readonly #clock: Clock;
  readonly #pulsesPerRevolution: number;
  readonly #gate: EdgeGate;
  readonly #floodEdges: number;
  readonly #watches = new Set<QuietWatch>();
  #pulses: number[] = [];
  #unlisten: Cancel | null = null;
  #rest: Cancel | null = null;
  #windowStartSeconds = Number.NEGATIVE_INFINITY;
  #windowEdges = 0;
  #floodedAtSeconds = Number.NEGATIVE_INFINITY;

  constructor(line: EdgeLine, clock: Clock, place: string, pulsesPerRevolution: number) {
    this.#gate = new EdgeGate(pulsesPerRevolution);
    this.#line = line;
    this.#clock = clock;
    this.place = place;
    this.#pulsesPerRevolution = pulsesPerRevolution;
    const fastestHertz = (HIGHEST_RPM * pulsesPerRevolution) / 60;
    this.#floodEdges = Math.ceil(FLOOD_FACTOR * fastestHertz * FLOOD_WINDOW_SECONDS);
    this.#listen();
  }

  /** A line has no identity; it says what level it has, which shows a missing pull-up on a fan at rest. */
  async identify(): Promise<string> {
    const level = await withDeadline(this.#clock, READ_SECONDS, this.place, this.#line.read());
    const { stampedBy } = this.#line;
    return `falling edges, ${this.#pulsesPerRevolution} a revolution, stamped by the ${stampedBy}, level ${level}`;
  }

  async read(): Promise<TachometerSample> {
    const sample = this.#sample(this.#clock.monotonicSeconds());
    if (sample.secondsSinceEdge === null || sample.secondsSinceEdge <= SHORTEST_QUIET_SECONDS) return sample;
    await this.#letEdgesIn();
    return this.#sample(this.#clock.monotonicSeconds());
  }

  onQuiet(seconds: number, wake: () => void): Cancel {
    const watch = new QuietWatch(this.#clock, seconds, wake);
    this.#watches.add(watch);
    return () => {
      watch.stop();
      this.#watches.delete(watch);
    };
  }

  async close(): Promise<void> {
    this.#unlisten?.();
    this.#rest?.();
    for (const watch of this.#watches) watch.stop();
    this.#watches.clear();
    await this.#line.close();
  }

  /**
   * After this process was busy, edges of a turning fan still wait to be delivered, and the line looks quiet. Reading its level
   * takes a turn of the event loop each time, and they come in by then.
   */
  async #letEdgesIn(): Promise<void> {
    for (let turn = 0; turn < TURNS_FOR_EDGES; turn += 1) {
      try {
        await withDeadline(this.#clock, READ_SECONDS, this.place, this.#line.read());
      } catch {
        // The level does not matter here, and a line that cannot be read is reported by what its edges say.
        return;
      }
    }
  }

  #sample(nowSeconds: number): TachometerSample {
    const lastPulseSeconds = this.#pulses.at(-1);
    const common = {
      rejectedEdges: this.#gate.rejected,
      lostEdges: this.#line.lostEdges,
      secondsSinceEdge: lastPulseSeconds === undefined ? null : Math.max(0, nowSeconds - lastPulseSeconds),
    };
    if (nowSeconds - this.#floodedAtSeconds < 2 * FLOOD_REST_SECONDS) return { rpm: null, regularity: 0, ...common };
    const speed = analysePulses(this.#pulses, this.#pulsesPerRevolution);
    const quietSeconds = quietAfter(speed.rpm, this.#pulsesPerRevolution);
    if (nowSeconds - this.#gate.lastEdgeSeconds > quietSeconds) return { rpm: 0, regularity: null, ...common };
    // Edges still come but none of them has begun a pulse for a while: noise without pauses.
    if (nowSeconds - (lastPulseSeconds ?? Number.NEGATIVE_INFINITY) > quietSeconds) {
      return { rpm: null, regularity: 0, ...common };
    }
    return { ...speed, ...common };
  }

  #listen(): void {
    this.#unlisten = this.#line.onEdge((atSeconds) => this.#take(atSeconds));
  }

  /** Runs for every edge, up to tens of thousands a second: a few comparisons, no allocation but the ring's. */
  #take(atSeconds: number): void {
    if (this.#isFlood(atSeconds)) return;
    if (!this.#gate.pass(atSeconds)) return;
    this.#pulses.push(atSeconds);
    if (this.#pulses.length >= 2 * PULSES_KEPT) this.#pulses = this.#pulses.slice(-PULSES_KEPT);
    for (const watch of this.#watches) watch.pulse(atSeconds);
  }

  #isFlood(atSeconds: number): boolean {
    if (atSeconds - this.#windowStartSeconds > FLOOD_WINDOW_SECONDS) {
      this.#windowStartSeconds = atSeconds;
      this.#windowEdges = 0;
    }
    this.#windowEdges += 1;
    if (this.#windowEdges <= this.#floodEdges) return false;
    this.#floodedAtSeconds = atSeconds;
    this.#windowEdges = 0;
    this.#unlisten?.();
    this.#unlisten = null;
    this.#rest ??= this.#clock.after(FLOOD_REST_SECONDS, () => {
      this.#rest = null;
      this.#listen();
    });
    return true;
  }
}

/** The longest silence that still belongs to a fan of this speed, s. */
function quietAfter(rpm: number | null, pulsesPerRevolution: number): number {
  const periodSeconds = rpm === null ? Number.POSITIVE_INFINITY : 60 / (rpm * pulsesPerRevolution);
  return Math.min(LONGEST_QUIET_SECONDS, Math.max(SHORTEST_QUIET_SECONDS, QUIET_PERIODS * periodSeconds));
}
