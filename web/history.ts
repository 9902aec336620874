// Asks the daemon for the half hour before now, with a deadline. No answer is an answer: the chart then begins empty and
// says so.

import type { Frame, History } from "../daemon/wire/frame.ts";
import { readDaemon } from "./ask-daemon.ts";
import { BUCKET_SECONDS, TRAIL_SECONDS, TRAIL_SERIES } from "./trail.ts";

const DEADLINE_MILLISECONDS = 10_000;

/**
 * The history up to `frame`, moved from the log's Unix seconds to the daemon's monotonic ones, so that it joins what
 * comes live; null when it cannot be had.
 */
export async function fetchHistory(ask: typeof fetch, frame: Frame): Promise<History | null> {
  const offset = frame.wall_seconds - frame.at_seconds;
  const query = new URLSearchParams({
    from: String(Math.floor(frame.wall_seconds - TRAIL_SECONDS)),
    to: String(Math.ceil(frame.wall_seconds)),
    points: String(TRAIL_SECONDS / BUCKET_SECONDS),
    series: TRAIL_SERIES.join(","),
  });
  const history = await readDaemon<History>(`/api/v1/history?${query}`, {
    ask,
    deadlineMilliseconds: DEADLINE_MILLISECONDS,
  });
  return history === null ? null : moved(history, -offset);
}

function moved(history: History, bySeconds: number): History {
  const series = Object.entries(history.series).map(
    ([name, triples]) => [name, triples.map(([at, low, high]) => [at + bySeconds, low, high] as const)] as const,
  );
  return {
    from_seconds: history.from_seconds + bySeconds,
    to_seconds: history.to_seconds + bySeconds,
    series: Object.fromEntries(series),
  };
}
