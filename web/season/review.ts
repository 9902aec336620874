// Asks the daemon for the season's review and for the core of one session, each with a deadline. No answer is an answer,
// and comes back as null.

import type { History } from "../../daemon/wire/frame.ts";
import type { SeasonReview, Session, SessionSummary } from "../../daemon/wire/season.ts";
import { readDaemon } from "../ask-daemon.ts";
import type { ElapsedTrace } from "./csv.ts";

const DEADLINE_MILLISECONDS = 20_000;
const TRACE_POINTS = 600;

const answered = <T>(ask: typeof fetch, address: string): Promise<T | null> =>
  readDaemon(address, { ask, deadlineMilliseconds: DEADLINE_MILLISECONDS });

/** The last year, days beginning at the midnight of `offsetHours`. */
export const fetchReview = (ask: typeof fetch, offsetHours: number): Promise<SeasonReview | null> =>
  answered(ask, `/api/v1/season?utc_offset_hours=${offsetHours}`);

/** Every marked session, those that lie ahead too. */
export const fetchSessions = (ask: typeof fetch): Promise<readonly Session[] | null> =>
  answered(ask, "/api/v1/season/sessions");

/** The core over one session, by elapsed time; null also where nothing of it is kept. */
export async function fetchTrace(ask: typeof fetch, session: SessionSummary): Promise<ElapsedTrace | null> {
  const { from_seconds, to_seconds } = session;
  const query = `from=${from_seconds}&to=${to_seconds}&points=${TRACE_POINTS}&series=core_celsius`;
  const history = await answered<History>(ask, `/api/v1/history?${query}`);
  if (history === null) return null;
  const points = Object.values(history.series)
    .flat()
    .map(([at, low, high]) => [at - from_seconds, low, high] as const)
    .filter(([, low, high]) => Number.isFinite(low) && Number.isFinite(high));
  return points.length === 0 ? null : { session, points };
}
