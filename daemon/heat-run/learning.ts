// What a heat run has learned so far: one job at a time for the worker, how far the quantities have come, and in the end the
// fit or why there is none. It knows no stage and holds no recording.

import type { HeatRunFit } from "../core/estimate/fit.ts";
import type { Model } from "../core/estimate/model.ts";
import type { HeatRunSample } from "../core/estimate/recording.ts";
import type { HeatRunAnswer, HeatRunJob, Standing } from "./job.ts";

/** A quantity whose last step was smaller than this share of its prior's uncertainty has settled. */
const SETTLED = 0.1;

export type LearningOptions = {
  /** Geometry and tables: every fit begins there, never at the last fit. */
  readonly prior: Model;
  readonly origin: string;
  readonly work: (job: HeatRunJob) => Promise<HeatRunAnswer>;
};

export class Learning {
  readonly #options: LearningOptions;
  #standings: readonly Standing[] = [];
  #settled: ReadonlySet<string> = new Set();
  #fit: HeatRunFit | null = null;
  #refusals: readonly string[] = [];
  #working = false;

  constructor(options: LearningOptions) {
    this.#options = options;
  }

  get converging(): readonly { readonly name: string; readonly value: number; readonly settled: boolean }[] {
    return this.#standings.map(({ name, value }) => ({ name, value, settled: this.#settled.has(name) }));
  }

  get fit(): HeatRunFit | null {
    return this.#fit;
  }

  get refusals(): readonly string[] {
    return this.#refusals;
  }

  /** How far the quantities have come; nothing while a look is under way. */
  async look(samples: readonly HeatRunSample[]): Promise<void> {
    if (this.#working) return;
    this.#working = true;
    const before = new Map(this.#standings.map(({ name, moved }) => [name, moved]));
    try {
      const answer = await this.#work("progress", samples);
      if (answer.kind !== "progress") return;
      this.#standings = answer.standings;
      this.#settled = new Set(
        answer.standings.flatMap(({ name, moved }) => {
          const was = before.get(name);
          return was !== undefined && Math.abs(moved - was) < SETTLED ? [name] : [];
        }),
      );
    } catch {
      // The next look comes soon; what cannot be fitted the fit will say.
    } finally {
      this.#working = false;
    }
  }

  /** Resolves with whether there is a fit; why there is none is in `refusals`. */
  async conclude(samples: readonly HeatRunSample[]): Promise<boolean> {
    try {
      const answer = await this.#work("fit", samples);
      if (answer.kind !== "fit") return false;
      if (answer.result.kind === "fitted") this.#fit = answer.result.fit;
      else this.#refusals = answer.result.refusals.map(({ text }) => text);
    } catch (error) {
      this.#refusals = [error instanceof Error ? error.message : String(error)];
    }
    return this.#fit !== null;
  }

  #work(kind: HeatRunJob["kind"], samples: readonly HeatRunSample[]): Promise<HeatRunAnswer> {
    const { prior, origin, work } = this.#options;
    return work({ kind, prior, samples: [...samples], origin });
  }
}
