// A guided heat run: which stage it is in, the recording it makes of the beats, what it asks for, and what came out. It reads no
// clock (the beats bring the time) and keys nothing; the arithmetic and the files are handed in.

import type { FitResult, HeatRunFit } from "../core/estimate/fit.ts";
import type { Model } from "../core/estimate/model.ts";
import type { HeatRunSample } from "../core/estimate/recording.ts";
import type { HeatRunRequest, HeatRunStage, WireHeatRun } from "../wire/heat-run.ts";
import type { HeatRunAnswer, HeatRunJob, Standing } from "./job.ts";
import { resultOf } from "./result.ts";

/** One second of the feedpoint as far as a heat run wants it. */
export type HeatRunBeat = HeatRunSample & {
  /** Why power had to come down; null while the stage is full. */
  readonly limited: string | null;
};

export type SessionOptions = {
  /** Geometry and tables: every fit begins there, never at the last fit. */
  readonly prior: Model;
  readonly inUse: Model;
  readonly work: (job: HeatRunJob) => Promise<HeatRunAnswer>;
  /** Keeps the recording; called now and then and at the end. */
  readonly keep: (samples: readonly HeatRunSample[]) => void;
  readonly accept: (model: Model) => void;
  /** Tells a simulated shack what to send, W; null = as it likes. Nobody keys a real one. */
  readonly rehearse: (watts: number | null) => void;
  readonly nameOf: (atSeconds: number) => string;
};

export const PREPARE_SECONDS = 300;
export const KEY_DOWN_SECONDS = 40 * 60;
export const COOL_DOWN_SECONDS = 30 * 60;
/** A key-down that was broken off earlier teaches too little. */
const SHORTEST_KEY_DOWN_SECONDS = 600;
const KEYED_WATTS = 5;
/** Outlet over inlet, averaged over a minute, below which the core is within a few kelvin of the air. */
const COLD_RISE_KELVIN = 0.6;
const COLD_SAMPLES = 60;
/** Of the quiet part this many are kept. */
const QUIET_SAMPLES = 120;
const MOST_SAMPLES = 4 * 3600;
const MOST_SPOTS = 20;
const PROGRESS_SECONDS = 300;
/** A quantity whose last step was smaller than this share of its prior's uncertainty has settled. */
const SETTLED = 0.1;
/** A core reading is worth asking for while the core is still hot. */
const SPOT_ASKED_SECONDS = 600;

const LIVE: ReadonlySet<HeatRunStage> = new Set(["prepare", "key-down", "cool-down"]);

export class HeatRunSession {
  readonly #options: SessionOptions;
  #stage: HeatRunStage = "idle";
  #samples: HeatRunSample[] = [];
  #plannedWatts = 0;
  #sinceSeconds = 0;
  #atSeconds = 0;
  #progressSeconds = 0;
  #unkeyedSeconds: number | null = null;
  #transmitting = false;
  #halted: string | null = null;
  #spots: { readonly at_seconds: number; readonly celsius: number }[] = [];
  #standings: readonly Standing[] = [];
  #settled: ReadonlySet<string> = new Set();
  #refusals: readonly string[] = [];
  #fit: HeatRunFit | null = null;
  #working = false;
  /** Tells the answers of a discarded run from those of this one. */
  #number = 0;

  constructor(options: SessionOptions) {
    this.#options = options;
  }

  /** One beat, oldest first; each second once. */
  take(beat: HeatRunBeat): void {
    this.#atSeconds = beat.timeSeconds;
    this.#transmitting = (beat.driveWatts ?? 0) > KEYED_WATTS;
    if (!LIVE.has(this.#stage)) return;
    const last = this.#samples.at(-1);
    if (last !== undefined && beat.timeSeconds <= last.timeSeconds) return;
    const { limited, ...sample } = beat;
    this.#samples.push(sample);
    this.#advance(limited);
    if (this.#samples.length >= MOST_SAMPLES && LIVE.has(this.#stage)) this.#finish();
    else if (LIVE.has(this.#stage) && beat.timeSeconds - this.#progressSeconds >= PROGRESS_SECONDS) this.#look();
  }

  /** @returns why it cannot be done; null when it was */
  ask(request: HeatRunRequest): string | null {
    switch (request.kind) {
      case "begin":
        if (LIVE.has(this.#stage) || this.#stage === "fitting") return "a heat run is under way";
        this.#begin(request.drive_watts);
        return null;
      case "core reading":
        return this.#spot(request.celsius, request.at_seconds);
      case "finish":
        if (this.#stage !== "cool-down") return "only a cool-down can be finished";
        this.#finish();
        return null;
      case "abort":
        if (!LIVE.has(this.#stage)) return "no heat run is under way";
        this.#end("idle");
        return null;
      case "accept":
        if (this.#stage !== "result" || this.#fit === null) return "there is no result to accept";
        this.#options.accept(this.#fit.model);
        this.#stage = "accepted";
        return null;
      case "discard":
        if (LIVE.has(this.#stage) || this.#stage === "fitting") return "the run is not over: abort it";
        this.#end("idle");
        return null;
    }
  }

  /** Everything a page shows. */
  get view(): WireHeatRun {
    const stage = this.#stage;
    const target = { prepare: PREPARE_SECONDS, "key-down": KEY_DOWN_SECONDS, "cool-down": COOL_DOWN_SECONDS };
    const unkeyed = this.#unkeyedSeconds === null ? null : this.#atSeconds - this.#unkeyedSeconds;
    return {
      stage,
      planned_watts: this.#plannedWatts,
      stage_seconds: LIVE.has(stage) ? this.#atSeconds - this.#sinceSeconds : 0,
      target_seconds: stage in target ? target[stage as keyof typeof target] : 0,
      transmitting: this.#transmitting,
      recorded_seconds: this.#samples.length,
      unkeyed_seconds: stage === "cool-down" && unkeyed !== null && unkeyed <= SPOT_ASKED_SECONDS ? unkeyed : null,
      spots: this.#spots,
      halted: this.#halted,
      converging: this.#standings.map(({ name, value }) => ({ name, value, settled: this.#settled.has(name) })),
      refusals: this.#refusals,
      result: this.#fit === null ? null : resultOf(this.#fit, this.#options.inUse),
    };
  }

  #begin(plannedWatts: number): void {
    this.#end("prepare");
    this.#plannedWatts = plannedWatts;
    this.#options.rehearse(0);
  }

  /** Forgets the run and goes to `stage`. */
  #end(stage: "idle" | "prepare"): void {
    this.#number += 1;
    this.#samples = [];
    this.#spots = [];
    this.#standings = [];
    this.#settled = new Set();
    this.#refusals = [];
    this.#fit = null;
    this.#halted = null;
    this.#unkeyedSeconds = null;
    this.#plannedWatts = 0;
    this.#progressSeconds = this.#atSeconds;
    this.#enter(stage);
    this.#options.rehearse(null);
  }

  #enter(stage: HeatRunStage): void {
    this.#stage = stage;
    this.#sinceSeconds = this.#atSeconds;
  }

  #advance(limited: string | null): void {
    const inStage = this.#atSeconds - this.#sinceSeconds;
    if (this.#stage === "prepare") {
      // A quiet beginning: transmitting begins the five minutes anew.
      if (this.#transmitting && inStage < PREPARE_SECONDS) this.#samples.length = 0;
      if (this.#transmitting && inStage < PREPARE_SECONDS) this.#sinceSeconds = this.#atSeconds;
      else if (inStage >= PREPARE_SECONDS && this.#isCold()) {
        // What came before is the cooling of another evening: a warm beginning misleads the fit.
        this.#samples = this.#samples.slice(-QUIET_SAMPLES);
        this.#enter("key-down");
        this.#options.rehearse(this.#plannedWatts);
      }
      return;
    }
    if (this.#stage === "key-down") this.#advanceKeyDown(inStage, limited);
    else if (this.#stage === "cool-down" && inStage >= COOL_DOWN_SECONDS && !this.#transmitting) this.#finish();
  }

  /** A fit takes the box to begin near the air; a warm core would be put down to the constants. */
  #isCold(): boolean {
    const rises = this.#samples
      .slice(-COLD_SAMPLES)
      .flatMap(({ inletCelsius, outletCelsius }) =>
        inletCelsius === null || outletCelsius === null ? [] : [outletCelsius - inletCelsius],
      );
    return rises.length > 0 && rises.reduce((sum, one) => sum + one, 0) / rises.length < COLD_RISE_KELVIN;
  }

  #advanceKeyDown(inStage: number, limited: string | null): void {
    if (limited !== null && this.#halted === null) this.#halted = limited;
    if (this.#halted !== null) this.#options.rehearse(0);
    const keyed = this.#samples.filter(({ driveWatts }) => (driveWatts ?? 0) > KEYED_WATTS).length;
    if (inStage >= KEY_DOWN_SECONDS) this.#options.rehearse(0);
    const over = this.#halted !== null || inStage >= KEY_DOWN_SECONDS || keyed >= SHORTEST_KEY_DOWN_SECONDS;
    if (this.#transmitting || keyed === 0 || !over) return;
    this.#unkeyedSeconds = this.#atSeconds;
    this.#enter("cool-down");
  }

  #spot(celsius: number, atSeconds: number): string | null {
    const [first, last] = [this.#samples[0], this.#samples.at(-1)];
    if (!LIVE.has(this.#stage) || first === undefined || last === undefined) return "no heat run is under way";
    if (this.#spots.length >= MOST_SPOTS) return `there are ${MOST_SPOTS} core readings already`;
    if (atSeconds < first.timeSeconds || atSeconds > last.timeSeconds + 1)
      return "the reading's time is not within the recording";
    const at = this.#samples.findLastIndex(({ timeSeconds }) => timeSeconds <= atSeconds);
    const sample = this.#samples[at];
    if (sample === undefined) return "the reading's time is not within the recording";
    this.#samples[at] = { ...sample, spotCoreCelsius: celsius };
    this.#spots.push({ at_seconds: atSeconds, celsius });
    return null;
  }

  /** How far the quantities have come; one look at a time. */
  #look(): void {
    this.#progressSeconds = this.#atSeconds;
    this.#options.keep(this.#samples);
    if (this.#working || this.#stage === "prepare") return;
    const before = new Map(this.#standings.map(({ name, moved }) => [name, moved]));
    void this.#do("progress", (answer) => {
      if (answer.kind !== "progress") return;
      this.#standings = answer.standings;
      this.#settled = new Set(
        answer.standings.flatMap(({ name, moved }) => {
          const was = before.get(name);
          return was !== undefined && Math.abs(moved - was) < SETTLED ? [name] : [];
        }),
      );
    });
  }

  #finish(): void {
    this.#enter("fitting");
    this.#options.rehearse(null);
    this.#options.keep(this.#samples);
    void this.#do("fit", (answer) => {
      if (answer.kind === "fit") this.#conclude(answer.result);
    });
  }

  #conclude(result: FitResult): void {
    if (result.kind === "fitted") this.#fit = result.fit;
    else this.#refusals = result.refusals.map(({ text }) => text);
    this.#stage = result.kind === "fitted" ? "result" : "refused";
  }

  async #do(kind: HeatRunJob["kind"], then: (answer: HeatRunAnswer) => void): Promise<void> {
    const number = this.#number;
    this.#working = true;
    try {
      const origin = `heat run of ${this.#options.nameOf(this.#samples[0]?.timeSeconds ?? 0)}`;
      const answer = await this.#options.work({
        kind,
        prior: this.#options.prior,
        samples: [...this.#samples],
        origin,
      });
      if (number === this.#number) then(answer);
    } catch (error) {
      if (number === this.#number && kind === "fit") {
        this.#refusals = [error instanceof Error ? error.message : String(error)];
        this.#stage = "refused";
      }
    } finally {
      this.#working = false;
    }
  }
}
