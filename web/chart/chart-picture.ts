// What the chart of the last half hour is told to show: data, axis, words, colours. Types only.

import type { Trail } from "../trail.ts";

/** Colours as CSS writes them, read from the page's custom properties. */
export type ChartColours = {
  readonly core: string;
  readonly band: string;
  readonly outlet: string;
  readonly inlet: string;
  readonly limit: string;
  readonly ink: string;
  readonly grid: string;
  readonly over: string;
  readonly keyed: string;
  readonly paper: string;
};

export type ChartWords = {
  readonly core: string;
  readonly upper: string;
  readonly outlet: string;
  readonly inlet: string;
  readonly limit: string;
  /** Text under the time axis at `atSeconds` of the daemon's clock. */
  readonly time: (atSeconds: number) => string;
};

export type ChartPicture = {
  readonly trail: Trail;
  readonly nowSeconds: number;
  /** A time without data longer than this is drawn as a hole, s. */
  readonly holeSeconds: number;
  /** Length of the time axis, s. */
  readonly spanSeconds: number;
  /** A second at which a tick may stand: a full minute of the wall clock. */
  readonly tickPhaseSeconds: number;
  readonly limitCelsius: number;
  /** Celsius to the reader's degrees. */
  readonly degrees: (celsius: number) => number;
  readonly colours: ChartColours;
  readonly words: ChartWords;
  readonly fontPixels: number;
};
