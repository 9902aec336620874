// The heat run's state and requests over HTTP, with a deadline. It interprets nothing.

import type { HeatRunRequest, WireHeatRun } from "../../daemon/wire/heat-run.ts";
import { detailOf } from "../../daemon/wire/http-problem.ts";
import { readDaemon } from "../ask-daemon.ts";

const DEADLINE_MILLISECONDS = 5_000;
const ADDRESS = "/api/v1/heat-run";

/** The state, or null when it cannot be had. */
export const fetchHeatRun = (): Promise<WireHeatRun | null> =>
  readDaemon(ADDRESS, { deadlineMilliseconds: DEADLINE_MILLISECONDS });

/** What the daemon said against it; null when it was done. `silence` stands for no answer. */
export async function askHeatRun(ask: typeof fetch, request: HeatRunRequest, silence: string): Promise<string | null> {
  try {
    const answer = await ask(ADDRESS, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(request),
      signal: AbortSignal.timeout(DEADLINE_MILLISECONDS),
    });
    const said = (await answer.json()) as { readonly accepted?: boolean; readonly text?: string };
    return said.accepted === true ? null : (said.text ?? detailOf(said) ?? silence);
  } catch {
    return silence;
  }
}
