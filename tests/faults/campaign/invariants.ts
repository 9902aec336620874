// What must hold in every cycle of every trial, judged from outside: by the simulation's truth, by the contacts that the rig
// sees, and by what the daemon published. It disturbs nothing.

import type { Reading } from "../../../daemon/core/readings.ts";
import type { Beat, NumberedEntry, Publication } from "../../../daemon/crossing/messages.ts";
import type { Truth } from "../../../hardware/simulated/feedpoint.ts";
import type { Trial } from "./trial.ts";

/** Longest silence of a heartbeat that beats every second and bounds every read by less, s. */
const LONGEST_SILENCE_SECONDS = 2.6;
/** A good number lies no further from the truth: noise, steps of the chip, and a second of age. */
const HONEST_KELVIN = { inlet: 2, outlet: 2.5, wall: 4, ambient: 2 } as const;
/** Random bytes that look like air are taken for air only near where the air was. */
const GARBLED_KELVIN = 30;
/** A fan that stands is not called turning for longer than this, s: the stall's delay, a cycle, and the wake. */
const LONGEST_TURNING_SECONDS = 2.5;
const STANDING_RPM = 600;

type Place = keyof typeof HONEST_KELVIN;
const PLACES = Object.keys(HONEST_KELVIN) as readonly Place[];
const SUMMED = ["sht3x", "sht4x"];

export class Invariants {
  readonly wrongs: string[] = [];
  readonly entries: NumberedEntry[] = [];
  /** Beats and failed cycles. */
  cycles = 0;
  /** Longest time that the hottest toroid was above the limit with both contacts closed, s. */
  overSeconds = 0;
  /** Cycles at full stage, and the hottest that a toroid became. */
  cyclesAtFull = 0;
  hottestCelsius = Number.NEGATIVE_INFINITY;
  readonly #trial: Trial;
  readonly #kinds = new Set<string>();
  #overSince: number | null = null;
  #usableAt = Number.NEGATIVE_INFINITY;
  #heardAt: number;
  #standingSince: number | null = null;

  constructor(trial: Trial) {
    this.#trial = trial;
    this.#heardAt = trial.board.elapsedSeconds();
  }

  /** To be given to `Trial.run`. */
  readonly look = (publications: readonly Publication[]): void => {
    const truth = this.#trial.board.truth();
    for (const publication of publications) this.#hear(publication);
    this.#core(truth);
    this.#lines();
    this.#alive();
    const beat = publications.at(-1)?.beat ?? null;
    if (beat !== null) {
      this.#readings(beat, truth);
      this.#fan(beat, truth);
    }
  };

  #wrong(text: string): void {
    // Once for each kind of wrong, whatever the figures in it.
    const kind = text.replace(/[\d.]+/g, "");
    if (this.#kinds.has(kind)) return;
    this.#kinds.add(kind);
    this.wrongs.push(`at ${this.#trial.board.elapsedSeconds().toFixed(2)} s ${text}`);
  }

  #hear({ beat, entries }: Publication): void {
    this.cycles += 1;
    this.#heardAt = this.#trial.board.elapsedSeconds();
    for (const entry of entries) {
      if (entry.number !== this.entries.length + 1) this.#wrong(`entry ${entry.number} is out of its turn`);
      this.entries.push(entry);
    }
    if (beat === null) {
      if (!this.entries.some(({ tag }) => tag === "cycle-failed")) this.#wrong("a cycle failed and no entry says so");
      return;
    }
    const { outlook } = beat;
    const { estimate, stage } = outlook;
    if (estimate.usable && Number.isFinite(estimate.coreUpperCelsius)) this.#usableAt = outlook.atSeconds;
    // The entry may have come with a cycle that failed after the stage had changed.
    const told = this.entries.findLast(({ kind }) => kind === "stage")?.tag ?? "inhibited";
    if (told !== stage) {
      this.#wrong(`the stage went to ${stage} and no entry says so`);
    }
    if (stage === "full") this.cyclesAtFull += 1;
    if (stage !== "full" && outlook.reasons.length === 0) this.#wrong(`${stage} without a reason`);
  }

  #core({ hottestToroidCelsius }: Truth): void {
    const { board, program } = this.#trial;
    const now = board.elapsedSeconds();
    this.hottestCelsius = Math.max(this.hottestCelsius, hottestToroidCelsius);
    const { reduce, inhibit } = this.#trial.contacts();
    const welded = board.faults.find("relay stuck") !== null;
    const full = reduce && inhibit && !welded;
    if (!full || hottestToroidCelsius <= program.limits.limitCelsius) this.#overSince = null;
    else this.#overSince ??= now;
    if (this.#overSince === null) return;
    this.overSeconds = Math.max(this.overSeconds, now - this.#overSince);
    const safety = program.processSafetySeconds ?? 0;
    if (now - this.#overSince > safety) {
      this.#wrong(
        `a toroid at ${hottestToroidCelsius.toFixed(1)} °C at full stage for more than ${safety.toFixed(0)} s`,
      );
    }
    if (hottestToroidCelsius >= program.limits.curieCelsius) this.#wrong("a toroid at its Curie point at full stage");
  }

  #lines(): void {
    const { board, program, newest } = this.#trial;
    if (board.faults.find("relay stuck") !== null) return;
    const contacts = this.#trial.contacts();
    // What the system does not let go, nobody can release; but it is to be tried again in every cycle.
    const refused = (line: "reduce" | "inhibit"): boolean =>
      this.#trial.refusesRelease(line, program.cycleSeconds + 0.3);
    const lines = {
      reduce: contacts.reduce && !refused("reduce"),
      inhibit: contacts.inhibit && !refused("inhibit"),
    };
    if (!lines.reduce && !lines.inhibit) return;
    if (newest === null) {
      this.#wrong("a line is energised before the first cycle");
      return;
    }
    const age = board.clock.monotonicSeconds() - this.#usableAt;
    const most = program.limits.estimateGraceSeconds + program.cycleSeconds + 0.3;
    if (age > most) this.#wrong(`a line is energised on an estimate ${age.toFixed(1)} s old`);
    for (const line of ["reduce", "inhibit"] as const) {
      if (lines[line] && !newest.permits[line]) this.#wrong(`${line} is energised and not permitted`);
    }
  }

  #alive(): void {
    const silent = this.#trial.board.elapsedSeconds() - this.#heardAt;
    if (silent > LONGEST_SILENCE_SECONDS) {
      this.#heardAt = this.#trial.board.elapsedSeconds();
      this.#wrong(`no cycle for ${silent.toFixed(1)} s`);
    }
  }

  /** Nothing shown as good that could not be read, or that is not so. */
  #readings({ outlook }: Beat, truth: Truth): void {
    const { board } = this.#trial;
    for (const place of PLACES) {
      const reading = outlook.readings[place];
      if (reading === null || reading.quality !== "good") continue;
      const shown = `${place} ${reading.value.toFixed(1)} °C is shown as good`;
      if (this.#impossible(place)) this.#wrong(`${shown} while it cannot be read`);
      if (this.#lies(place)) continue;
      const error = Math.abs(reading.value - truthAt(place, truth));
      const garbled = board.faults.ofPart("garbage bytes", place) ?? board.faults.find("RF upset");
      const honest = garbled === null ? HONEST_KELVIN[place] : GARBLED_KELVIN;
      if (error > honest && !this.#recovering(place)) this.#wrong(`${shown}, and it is ${error.toFixed(1)} K off`);
    }
    for (const reading of Object.values(outlook.readings)) {
      if (isReading(reading) && reading.value !== null && !Number.isFinite(reading.value)) {
        this.#wrong("a reading that is no number is shown");
      }
    }
  }

  /** A fault held over the whole of this cycle that leaves nothing to be read. */
  #impossible(place: Place): boolean {
    const { board } = this.#trial;
    const sensor = board.spec.sensors.find(({ role }) => role === place);
    if (sensor === undefined) return false;
    const { source, name } = sensor;
    const { faults } = board;
    // Random bytes over what cannot be read look like anything; how far off they may be is judged below.
    if (faults.find("RF upset", ({ effect }) => effect === "garbage") !== null) return false;
    const whole = (fault: { readonly startSeconds: number } | null): boolean =>
      fault !== null && board.elapsedSeconds() - fault.startSeconds > 2;
    if (whole(faults.ofPart("chip silent", name)) || whole(faults.ofPart("power-on value", name))) return true;
    const summed = source.kind === "one-wire" || (source.kind === "i2c" && SUMMED.includes(source.chip));
    if (summed && whole(faults.ofPart("checksum wrong", name))) return true;
    return source.kind === "i2c" && whole(faults.find("bus stuck", ({ bus }) => bus === source.bus));
  }

  /** The chip itself tells an untruth that looks like the truth; how it is found out is an expectation of the trial. */
  #lies(place: Place): boolean {
    const { faults } = this.#trial.board;
    if (faults.ofPart("value stuck", place) !== null || faults.ofPart("chip offset", place) !== null) return true;
    return (place === "inlet" || place === "outlet") && faults.find("air sensors swapped") !== null;
  }

  /** Just after a fault the chip's last conversion may still be the disturbed one. */
  #recovering(place: Place): boolean {
    return this.#trial.endedWithin(2, place);
  }

  #fan({ outlook }: Beat, { fanRpm }: Truth): void {
    const now = this.#trial.board.elapsedSeconds();
    if (fanRpm >= STANDING_RPM || outlook.fan !== "turning") this.#standingSince = null;
    else this.#standingSince ??= now;
    if (this.#standingSince !== null && now - this.#standingSince > LONGEST_TURNING_SECONDS) {
      this.#wrong(`the fan stands at ${fanRpm.toFixed(0)} rpm and is called turning`);
    }
  }
}

function isReading(value: unknown): value is Reading {
  return typeof value === "object" && value !== null && "quality" in value;
}

function truthAt(place: Place, truth: Truth): number {
  switch (place) {
    case "inlet":
      return truth.inletCelsius;
    case "outlet":
      return truth.outletCelsius;
    case "wall":
      return truth.wallCelsius;
    case "ambient":
      return truth.ambientCelsius;
  }
}
