// The rig's own power, lowered while the stage is below `full` and put back afterwards: carries out the steps of `reduction.ts`, reads
// back after every set, keeps what was found, and tells the record each time. It waits, so that the permit lines are always first.

import type { PowerStage } from "../../core/effects.ts";
import type { RigWord } from "../rig.ts";
import { type Held, isSame, reductionStep, SAME_RATIO } from "./reduction.ts";
import type { PowerSet } from "./session.ts";

/** What outlives the service thread and the daemon. */
export type PowerMemory = {
  readonly recall: () => Held | null;
  /** @throws Error in words when it cannot be kept; the rig is not touched then */
  readonly keep: (held: Held | null) => void;
};

export type RigPowerOptions = {
  readonly reduceToRatio: number;
  readonly memory: PowerMemory;
  /** A line for the record. */
  readonly note: (tag: string, text: string) => void;
};

/** What sets a rig's power. */
export type PowerDial = { setPower(ratio: number): Promise<PowerSet> };

/** A stage must last this long before the rig is touched: the first cycles after a start permit nothing, and that is no reduction. */
const STANDING_SECONDS = 4;
/** A stage older than this says nothing about now. */
const OLDEST_STAGE_SECONDS = 5;
const MOST_ATTEMPTS = 3;
const RETRY_SECONDS = 5;

const percent = (ratio: number | null): string => (ratio === null ? "not readable" : `${(100 * ratio).toFixed(0)} %`);

export class RigPower {
  readonly #options: RigPowerOptions;
  #held: Held | null;
  #stage: { readonly now: PowerStage; readonly sinceSeconds: number; readonly heardSeconds: number } | null = null;
  #left = false;
  #attempts = 0;
  #retryAtSeconds = Number.NEGATIVE_INFINITY;

  constructor(options: RigPowerOptions) {
    this.#options = options;
    this.#held = options.memory.recall();
  }

  /** What is lowered now; null when nothing is. */
  get held(): Held | null {
    return this.#held;
  }

  /** The stage of a cycle whose permit lines have been told first; times are of the clock that stamps the words. */
  hear(stage: PowerStage, atSeconds: number): void {
    const full = (of: PowerStage): boolean => of === "full";
    const before = this.#stage;
    const same = before !== null && full(before.now) === full(stage);
    this.#stage = { now: stage, sinceSeconds: same ? before.sinceSeconds : atSeconds, heardSeconds: atSeconds };
    if (same) return;
    this.#attempts = 0;
    this.#retryAtSeconds = Number.NEGATIVE_INFINITY;
    if (full(stage)) this.#left = false;
  }

  /** Called after each round of questions. @throws what `dial` throws; then nothing is known of the set, and the next round looks */
  async attend(dial: PowerDial, word: RigWord): Promise<void> {
    const stage = this.#stage;
    const now = word.atSeconds;
    if (stage === null || word.powerRatio === null || now < this.#retryAtSeconds) return;
    if (now - stage.heardSeconds > OLDEST_STAGE_SECONDS || now - stage.sinceSeconds < STANDING_SECONDS) return;
    const step = reductionStep(this.#held, stage.now, word.powerRatio, this.#options.reduceToRatio, this.#left);
    switch (step.kind) {
      case "nothing":
        return;
      case "leave":
        return this.#leave(word.powerRatio, stage.now);
      case "lower":
        return await this.#lower(dial, step.foundRatio, step.toRatio, stage.now, now);
      case "restore":
        return await this.#restore(dial, step.toRatio, now);
    }
  }

  #leave(ratio: number, stage: PowerStage): void {
    const { note } = this.#options;
    const held = this.#held;
    if (held === null || !this.#keep(null)) return;
    // A set that never reached the rig: it is simply where it was.
    if (!held.confirmed && isSame(ratio, held.foundRatio)) return;
    this.#left = stage !== "full";
    note(
      "rig_power_left",
      `the rig's power was turned to ${percent(ratio)} by somebody else (lowered from ${percent(held.foundRatio)} to ${percent(held.setRatio)} before): it is left there`,
    );
  }

  async #lower(dial: PowerDial, found: number, to: number, stage: PowerStage, now: number): Promise<void> {
    // Kept first: a death after the set must not leave the rig low for ever.
    if (!this.#keep({ foundRatio: found, setRatio: to, confirmed: false })) return;
    const { refusal, readBackRatio } = await dial.setPower(to);
    const went = readBackRatio !== null && readBackRatio < found - SAME_RATIO;
    const said = `the rig's power was set from ${percent(found)} to ${percent(to)} (stage ${stage}) and reads back ${percent(readBackRatio)}`;
    if (went) {
      this.#keep({ foundRatio: found, setRatio: readBackRatio, confirmed: true });
      this.#attempts = 0;
      this.#options.note("rig_power_lowered", said);
      return;
    }
    if (readBackRatio !== null) this.#keep(null);
    this.#failed("rig_power_not_lowered", refusal === null ? said : `${said}: ${refusal}`, now);
  }

  async #restore(dial: PowerDial, to: number, now: number): Promise<void> {
    const { refusal, readBackRatio } = await dial.setPower(to);
    const said = `the rig's power was put back to ${percent(to)}, as it was found, and reads back ${percent(readBackRatio)}`;
    if (readBackRatio !== null && isSame(readBackRatio, to)) {
      if (this.#keep(null)) this.#options.note("rig_power_restored", said);
      return;
    }
    this.#failed("rig_power_not_restored", refusal === null ? said : `${said}: ${refusal}`, now);
    // After the last attempt what was found is kept for the next start, as long as the knob is not touched.
    if (this.#left && readBackRatio !== null && readBackRatio > to + SAME_RATIO) this.#keep(null);
  }

  #failed(tag: string, text: string, now: number): void {
    this.#attempts += 1;
    if (this.#attempts < MOST_ATTEMPTS) {
      this.#retryAtSeconds = now + RETRY_SECONDS;
      if (this.#attempts === 1) this.#options.note(tag, text);
      return;
    }
    this.#options.note(tag, `${text}; it is not tried again in this stage`);
    this.#left = true;
    this.#retryAtSeconds = Number.POSITIVE_INFINITY;
  }

  /** False when it cannot be kept: then the rig is left alone. */
  #keep(held: Held | null): boolean {
    try {
      this.#options.memory.keep(held);
    } catch (error) {
      const text = `what the rig's power was cannot be kept, so it is not touched: ${error instanceof Error ? error.message : String(error)}`;
      this.#options.note("rig_power_not_kept", text);
      this.#left = true;
      this.#retryAtSeconds = Number.POSITIVE_INFINITY;
      return false;
    }
    this.#held = held;
    return true;
  }
}
