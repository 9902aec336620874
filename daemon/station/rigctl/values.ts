// What an answer's lines mean: a number in its range, or null. The server checks no ranges (a level of 7 or "nan" is taken and given
// back), so everything is checked here.

import type { Answer } from "./protocol.ts";

/** From 10 kHz, below which nobody transmits by such a rig, to 300 GHz. */
const FREQUENCY_HERTZ = [1e4, 3e11] as const;
/** No rig makes more. */
const MOST_WATTS = 10_000;
const MOST_SWR = 1000;

/** The first line's value, with or without its name before it. */
function firstOf({ lines, status }: Answer): string | null {
  const [line] = lines;
  if (status !== 0 || line === undefined) return null;
  return line.slice(line.indexOf(":") + 1).trim();
}

function numberWithin(answer: Answer, low: number, high: number): number | null {
  const text = firstOf(answer);
  if (text === null || !/^[+-]?\d{1,15}(\.\d{1,15})?(e[+-]?\d{1,3})?$/i.test(text)) return null;
  const value = Number(text);
  return value >= low && value <= high ? value : null;
}

export const frequencyHertzOf = (answer: Answer): number | null => numberWithin(answer, ...FREQUENCY_HERTZ);
export const wattsOf = (answer: Answer): number | null => numberWithin(answer, 0, MOST_WATTS);
/** Rigs give 0 while they have nothing to say. */
export const swrOf = (answer: Answer): number | null => numberWithin(answer, 1, MOST_SWR);
/** A level from 0 to 1. What lies outside is no level: null, so that nobody goes by it. */
export const levelOf = (answer: Answer): number | null => numberWithin(answer, 0, 1);

/** 0 = receiving; 1 to 3 = transmitting, by what keyed it (Hamlib's `ptt_t`). */
export function transmittingOf(answer: Answer): boolean | null {
  const value = numberWithin(answer, 0, 3);
  return value === null || !Number.isInteger(value) ? null : value > 0;
}

/** Modes of Hamlib that the trade writes otherwise; what is not named here stands as it is. */
const TRADE_MODES: Readonly<Record<string, string>> = {
  USB: "SSB",
  LSB: "SSB",
  CWR: "CW",
  RTTYR: "RTTY",
  WFM: "FM",
  FMN: "FM",
  AMN: "AM",
};

/** As the trade writes it; data modes (`PKTUSB` …) keep the rig's word, for it does not know what is sent. */
export function modeOf(answer: Answer): string | null {
  const text = firstOf(answer);
  if (text === null || !/^[A-Z][A-Z0-9-]{0,15}$/i.test(text)) return null;
  const word = text.toUpperCase();
  return TRADE_MODES[word] ?? word;
}
