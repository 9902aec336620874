// Ticks of a time axis in days, months or hours, as many as fit. Pure.

import type { Figures } from "../figures.ts";
import { DAY_SECONDS, dayOf, monthStarts, startOfDay } from "./calendar.ts";
import type { Tick } from "./plot.tsx";
import type { Span } from "./span.ts";

const LEAST_MONTHS_DAYS = 75;

/** Firsts of months over long spans, every so many days over short ones. */
export const dayTicks =
  (figures: Figures, offsetSeconds: number) =>
  ({ from, to }: Span, most: number): readonly Tick[] => {
    const firstDay = dayOf(from, offsetSeconds);
    const days = dayOf(to, offsetSeconds) - firstDay + 1;
    if (days >= LEAST_MONTHS_DAYS) {
      const starts = monthStarts({ firstDay, days });
      const every = Math.ceil(starts.length / most);
      return starts
        .map((index) => firstDay + index)
        .filter((day, index) => index % every === 0 && startOfDay(day, offsetSeconds) >= from)
        .map((day) => ({ value: startOfDay(day, offsetSeconds), label: figures.month(day * DAY_SECONDS, true) }));
    }
    const every = [1, 2, 7, 14].find((step) => days / step <= most) ?? 28;
    return Array.from({ length: days }, (_, index) => firstDay + index)
      .filter((day) => day % every === 0 && startOfDay(day, offsetSeconds) >= from)
      .map((day) => ({ value: startOfDay(day, offsetSeconds), label: figures.day(day * DAY_SECONDS) }));
  };

/** Whole hours since a start. */
export const hourTicks =
  (figures: Figures) =>
  ({ from, to }: Span, most: number): readonly Tick[] => {
    const hours = (to - from) / 3600;
    const every = [1 / 6, 0.5, 1, 2, 3, 6, 12, 24].find((step) => hours / step <= most) ?? 48;
    const first = Math.ceil(from / 3600 / every - 1e-9);
    const count = Math.floor(to / 3600 / every + 1e-9) - first + 1;
    return Array.from({ length: Math.max(0, count) }, (_, index) => {
      const value = (first + index) * every;
      return { value: value * 3600, label: figures.number(value, Number.isInteger(value) ? 0 : 1) };
    });
  };
