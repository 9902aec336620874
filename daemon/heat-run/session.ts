// A guided heat run: beats and requests in, the course advanced, the recording kept, the view for the page out. It reads no
// clock (the beats bring the time) and keys nothing; the arithmetic, the files and the fan's leave are handed in.

import type { Model } from "../core/estimate/model.ts";
import type { HeatRunSample } from "../core/estimate/recording.ts";
import type { Rehearsal } from "../crossing/messages.ts";
import type { HeatRunRequest, HeatRunStage, WireHeatRun } from "../wire/heat-run.ts";
import {
  advance,
  type Course,
  type CourseLimits,
  entering,
  isLive,
  NO_COURSE,
  progress,
  rehearsedWatts,
  type Seen,
  wantsFanOff,
} from "./course.ts";
import type { HeatRunAnswer, HeatRunJob } from "./job.ts";
import { Learning } from "./learning.ts";
import { isKeyed, Recording } from "./recording.ts";
import { resultOf } from "./result.ts";

/** One second of the feedpoint as far as a heat run wants it. */
export type HeatRunBeat = HeatRunSample & {
  /** Why power had to come down; null while the stage is full. */
  readonly limited: string | null;
  readonly coreUpperCelsius: number | null;
};

/** A run that can be gone on with. */
export type KeptRun = { readonly course: Course; readonly recording: Recording };

export type SessionOptions = {
  readonly prior: Model;
  readonly inUse: Model;
  readonly limits: CourseLimits;
  readonly work: (job: HeatRunJob) => Promise<HeatRunAnswer>;
  /** Keeps the run; called now and then and at every change. */
  readonly keep: (run: KeptRun) => void;
  readonly accept: (model: Model) => void;
  readonly rehearse: (rehearsal: Rehearsal) => void;
  /** The fan may stand for so many seconds; null = it is to turn again. */
  readonly leaveFan: (seconds: number | null) => void;
  readonly name: string;
  /** A run that an earlier thread left, or why it cannot be gone on with. */
  readonly left: KeptRun | string | null;
};

/** Of the quiet part this many seconds are kept. */
const QUIET_SAMPLES = 120;
const PROGRESS_SECONDS = 300;
const KEEP_SECONDS = 60;
/** A core reading is worth asking for while the core is still hot. */
const SPOT_ASKED_SECONDS = 600;
/** The leave to stop the fan reaches beyond its part, so that it does not run out over a slow hand. */
const FAN_LEAVE_SECONDS = 1800;
const TURNING_RPM = 100;

export class HeatRunSession {
  readonly #options: SessionOptions;
  #course: Course;
  #recording: Recording;
  #learning: Learning;
  #seen: Seen;
  #progressSeconds = 0;
  #keptSeconds = 0;
  #rehearsed: Rehearsal = { watts: null, fanTurns: true };
  #cutOff: string | null;

  constructor(options: SessionOptions) {
    this.#options = options;
    const { left } = options;
    const going = left === null || typeof left === "string" ? { course: NO_COURSE, recording: new Recording() } : left;
    this.#course = going.course;
    this.#recording = going.recording;
    this.#cutOff = typeof left === "string" ? left : null;
    this.#learning = this.#beginner();
    this.#seen = { ...SEEN_NOTHING, atSeconds: going.recording.samples.at(-1)?.timeSeconds ?? 0 };
    // A fit is not kept: it comes out of the recording again.
    if (!isLive(going.course.stage) && going.course.stage !== "idle") this.#enter("fitting");
  }

  /** One beat, oldest first; each second once. */
  take({ limited, coreUpperCelsius, ...sample }: HeatRunBeat): void {
    const live = isLive(this.#course.stage);
    if (live && !this.#recording.add(sample)) return;
    this.#seen = {
      atSeconds: sample.timeSeconds,
      transmitting: isKeyed(sample),
      limited,
      fanTurning: sample.fanRpm === null || sample.fanRpm > TURNING_RPM,
      coreUpperCelsius,
      cold: this.#course.stage === "prepare" && this.#recording.isCold,
      keyedSeconds: this.#recording.keyedSeconds,
    };
    if (!live) return;
    const before = this.#course;
    this.#go(advance(before, this.#seen, this.#options.limits));
    // What came before is the cooling of another evening: a warm beginning misleads the fit.
    if (before.stage === "prepare") this.#recording.keepLast(this.#seen.transmitting ? 0 : QUIET_SAMPLES);
    if (this.#recording.isFull && isLive(this.#course.stage)) this.#enter("fitting");
    if (isLive(this.#course.stage)) this.#lookAndKeep();
  }

  /** @returns why it cannot be done; null when it was. @throws Error when the model cannot be written */
  ask(request: HeatRunRequest): string | null {
    const { stage } = this.#course;
    const live = isLive(stage);
    switch (request.kind) {
      case "begin":
        if (live || stage === "fitting") return "a heat run is under way";
        this.#begin(request.drive_watts, request.fan_off === true);
        return null;
      case "core reading":
        return live ? this.#read(request.celsius, request.at_seconds) : "no heat run is under way";
      case "skip fan off":
        if (stage !== "fan-off") return "there is no part with the fan stopped";
        this.#enter("cool-down");
        return null;
      case "finish":
        if (stage !== "cool-down") return "only a cool-down can be finished";
        this.#enter("fitting");
        return null;
      case "abort":
        if (!live) return "no heat run is under way";
        this.#forget();
        return null;
      case "accept": {
        const { fit } = this.#learning;
        if (stage !== "result" || fit === null) return "there is no result to accept";
        this.#options.accept(fit.model);
        this.#enter("accepted");
        return null;
      }
      case "discard":
        if (live || stage === "fitting") return "the run is not over: abort it";
        this.#forget();
        return null;
    }
  }

  /** Everything a page shows. */
  get view(): WireHeatRun {
    const { stage, plannedWatts, fanOff, fanStoppedSeconds, unkeyedSeconds, halted } = this.#course;
    const { atSeconds, transmitting, fanTurning } = this.#seen;
    const fanMayStand = wantsFanOff(this.#course, atSeconds);
    const [stage_seconds, target_seconds] = progress(this.#course, atSeconds);
    const since = unkeyedSeconds === null ? null : atSeconds - unkeyedSeconds;
    const cooling = stage === "cool-down" || stage === "fan-off";
    return {
      stage,
      planned_watts: plannedWatts,
      stage_seconds,
      target_seconds,
      transmitting,
      recorded_seconds: this.#recording.samples.length,
      unkeyed_seconds: cooling && since !== null && since <= SPOT_ASKED_SECONDS ? since : null,
      spots: this.#recording.readings,
      halted,
      fan_off: fanOff,
      fan_turning: fanTurning,
      fan_may_stop: fanMayStand,
      fan_must_turn: stage === "fan-off" && fanStoppedSeconds !== null && !fanMayStand,
      fan_off_celsius: this.#options.limits.fanOffCelsius,
      cut_off: this.#cutOff,
      converging: this.#learning.converging,
      refusals: this.#learning.refusals,
      result: this.#learning.fit === null ? null : resultOf(this.#learning.fit, this.#options.inUse),
    };
  }

  #beginner(): Learning {
    const { prior, work, name } = this.#options;
    return new Learning({ prior, work, origin: `heat run of ${name}` });
  }

  #begin(plannedWatts: number, fanOff: boolean): void {
    this.#forget();
    this.#progressSeconds = this.#seen.atSeconds;
    this.#go(entering({ ...NO_COURSE, plannedWatts, fanOff }, "prepare", this.#seen.atSeconds));
  }

  #forget(): void {
    this.#recording = new Recording();
    this.#learning = this.#beginner();
    this.#cutOff = null;
    this.#go(NO_COURSE);
  }

  #enter(stage: HeatRunStage): void {
    this.#go(entering(this.#course, stage, this.#seen.atSeconds));
  }

  /** Takes the next course, and what follows from it for shack, fan and files. */
  #go(next: Course): void {
    const { rehearse, leaveFan } = this.#options;
    const changed = next.stage !== this.#course.stage;
    this.#course = next;
    const fanTurns = !wantsFanOff(next, this.#seen.atSeconds);
    const rehearsal = { watts: rehearsedWatts(next, this.#seen.atSeconds), fanTurns };
    const before = this.#rehearsed;
    if (fanTurns !== before.fanTurns) leaveFan(fanTurns ? null : FAN_LEAVE_SECONDS);
    if (fanTurns !== before.fanTurns || rehearsal.watts !== before.watts) rehearse(rehearsal);
    this.#rehearsed = rehearsal;
    if (changed) this.#keep();
    if (next.stage === "fitting") this.#conclude();
  }

  #read(celsius: number, atSeconds: number): string | null {
    const why = this.#recording.read(celsius, atSeconds);
    if (why === null) this.#keep();
    return why;
  }

  #keep(): void {
    this.#keptSeconds = this.#seen.atSeconds;
    this.#options.keep({ course: this.#course, recording: this.#recording });
  }

  #lookAndKeep(): void {
    const { atSeconds } = this.#seen;
    if (atSeconds - this.#keptSeconds >= KEEP_SECONDS) this.#keep();
    if (atSeconds - this.#progressSeconds < PROGRESS_SECONDS || this.#course.stage === "prepare") return;
    this.#progressSeconds = atSeconds;
    void this.#learning.look(this.#recording.samples);
  }

  #conclude(): void {
    const learning = this.#learning;
    void learning.conclude(this.#recording.samples).then((fitted) => {
      // Another run may have begun meanwhile.
      if (learning === this.#learning && this.#course.stage === "fitting") this.#enter(fitted ? "result" : "refused");
    });
  }
}

const SEEN_NOTHING: Seen = {
  atSeconds: 0,
  transmitting: false,
  limited: null,
  fanTurning: true,
  coreUpperCelsius: null,
  cold: false,
  keyedSeconds: 0,
};
