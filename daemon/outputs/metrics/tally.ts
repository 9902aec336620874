// What metrics add up from cycle to cycle, since the service thread began. Small and loaded from the start, because counting
// cannot wait for the first scrape.

import type { Beat } from "../../crossing/messages.ts";
import type { Histogram } from "./exposition.ts";

/** Upper edges, s. The bus answers within milliseconds; a cycle has a second. */
const EDGES_SECONDS = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, Number.POSITIVE_INFINITY] as const;

export class Tally {
  readonly #counts: number[] = EDGES_SECONDS.map(() => 0);
  #sum = 0;
  #lastNumber = 0;
  #rejectedEdges: number | null = null;

  /** Each beat once, whatever is sent again. */
  take({ number, cycleSeconds, outlook }: Beat): void {
    if (number <= this.#lastNumber) return;
    this.#lastNumber = number;
    this.#sum += cycleSeconds;
    EDGES_SECONDS.forEach((edge, index) => {
      if (cycleSeconds <= edge) this.#counts[index] = (this.#counts[index] ?? 0) + 1;
    });
    const { fan } = outlook.readings;
    // A tach that cannot be read counts nothing; what it had counted stands.
    if (fan !== null && fan.rejectedEdges > 0) this.#rejectedEdges = fan.rejectedEdges;
    else if (fan !== null) this.#rejectedEdges ??= 0;
  }

  get cycleDuration(): Histogram {
    return { buckets: EDGES_SECONDS.map((edge, index) => [edge, this.#counts[index] ?? 0]), sum: this.#sum };
  }

  /** Null where no tach is fitted. */
  get rejectedEdges(): number | null {
    return this.#rejectedEdges;
  }
}
