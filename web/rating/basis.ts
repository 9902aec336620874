// Asks the daemon for the model in use, once per run of the daemon, with a deadline. No answer is an answer.

import type { RatingBasis } from "../../daemon/core/physics/rating.ts";

const DEADLINE_MILLISECONDS = 10_000;

/** The basis, or null when it cannot be had. */
export async function fetchBasis(ask: typeof fetch): Promise<RatingBasis | null> {
  try {
    const answer = await ask("/api/v1/model", { signal: AbortSignal.timeout(DEADLINE_MILLISECONDS) });
    return answer.ok ? ((await answer.json()) as RatingBasis) : null;
  } catch {
    return null;
  }
}
