// What the service thread is asked about the season: reviews, remembered for a moment since a page asks again and again, and
// spans marked by an operator. It holds no state that the file has not.

import type { SeasonReview, Session } from "../wire/season.ts";
import type { BandOf } from "./filing.ts";
import { hoursKept } from "./hours.ts";
import type { SeasonLog } from "./log.ts";
import { markSession, removeSession, sessionsBetween } from "./records.ts";
import { reviewSeason } from "./review/season.ts";
import type { WearAlarms } from "./review/wear.ts";

export type AnswersOptions = {
  readonly log: () => SeasonLog;
  readonly name: string;
  readonly limitCelsius: number;
  readonly alarms: WearAlarms;
  readonly bandOf: BandOf;
  /** Monotonic seconds of the machine. */
  readonly nowSeconds: () => number;
};

type Span = { readonly fromSeconds: number; readonly toSeconds: number; readonly utcOffsetSeconds: number };

const FRESH_SECONDS = 20;
/** Reviews kept: a page or two with their zooms. */
const KEPT = 4;

export class SeasonAnswers {
  readonly #options: AnswersOptions;
  #kept: { readonly key: string; readonly atSeconds: number; readonly review: SeasonReview }[] = [];

  constructor(options: AnswersOptions) {
    this.#options = options;
  }

  /** @throws Error when the log is not open */
  review(span: Span): SeasonReview {
    const { log, name, limitCelsius, alarms, bandOf, nowSeconds } = this.#options;
    // To the minute: otherwise no two questions "until now" would be the same.
    const minutes = [span.fromSeconds, span.toSeconds].map((seconds) => Math.floor(seconds / 60));
    const newest = hoursKept(log().database)?.to ?? 0;
    const key = [...minutes, span.utcOffsetSeconds, newest].join();
    const now = nowSeconds();
    this.#kept = this.#kept.filter(({ atSeconds }) => now - atSeconds < FRESH_SECONDS);
    const found = this.#kept.find((kept) => kept.key === key);
    if (found !== undefined) return found.review;
    const review = reviewSeason(log().database, { name, limitCelsius, alarms, bandOf, ...span });
    this.#kept = [...this.#kept.slice(1 - KEPT), { key, atSeconds: now, review }];
    return review;
  }

  sessions(): readonly Session[] {
    return sessionsBetween(this.#options.log().database, 0, Number.MAX_SAFE_INTEGER);
  }

  /** @throws RangeError when there are too many */
  mark(session: Omit<Session, "id">): Session {
    this.#kept = [];
    return markSession(this.#options.log().database, session);
  }

  remove(id: number): boolean {
    this.#kept = [];
    return removeSession(this.#options.log().database, id);
  }
}
