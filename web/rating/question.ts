// The reader's question and what the physics answer: sliders in, rows and curve out. The same files compute as in the daemon;
// it draws nothing and fetches nothing.

import { pressureAtAltitudePascals } from "../../daemon/core/physics/air.ts";
import { MODES, type Mode, modeNamed } from "../../daemon/core/physics/modes.ts";
import {
  type RatingBasis,
  type RatingQuestion,
  type RatingRow,
  ratingTable,
  type Settled,
  settledCore,
} from "../../daemon/core/physics/rating.ts";

/** What the sliders say, in SI. */
export type Asked = {
  readonly airCelsius: number;
  readonly altitudeMeters: number;
  readonly sunWatts: number;
  /** Of nominal speed; 0 = stopped. */
  readonly speedRatio: number;
  readonly flowFactor: number;
  /** Share of the time spent in overs. */
  readonly overShare: number;
  readonly mode: string;
  readonly band: string;
};

/** A question in round numbers, at the altitude that the model was made for. */
export function usualQuestion(basis: RatingBasis, airCelsius: number): Asked {
  return {
    airCelsius: Math.round(airCelsius),
    altitudeMeters: altitudeOf(basis.model.pressurePascals),
    sunWatts: 0,
    speedRatio: 1,
    flowFactor: 1,
    overShare: 1,
    mode: "RTTY",
    band: basis.model.bands[0]?.band ?? "",
  };
}

/** Metres at which the standard atmosphere has this pressure, to the metre; the function falls, so it is halved down to. */
function altitudeOf(pascals: number): number {
  let [low, high] = [-500, 6000];
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (pressureAtAltitudePascals(middle) > pascals) low = middle;
    else high = middle;
  }
  return Math.round(low);
}

/** Pauses between overs thin out the mode's own duty; the core follows overs of minutes, so their length is not averaged away here. */
const thinned = (mode: Mode, overShare: number): Mode => ({ ...mode, duty: mode.duty * overShare });

function questionOf(basis: RatingBasis, asked: Asked): RatingQuestion {
  return {
    ...basis,
    airCelsius: [asked.airCelsius],
    modes: MODES.map((mode) => thinned(mode, asked.overShare)),
    fanTurning: asked.speedRatio > 0,
    surroundings: {
      // The model's own altitude is its own pressure, to the last digit.
      pressurePascals:
        asked.altitudeMeters === altitudeOf(basis.model.pressurePascals)
          ? basis.model.pressurePascals
          : pressureAtAltitudePascals(asked.altitudeMeters),
      sunWatts: asked.sunWatts,
      speedRatio: asked.speedRatio,
      flowFactor: asked.flowFactor,
    },
  };
}

/** Rows by band and mode. */
export const rowsFor = (basis: RatingBasis, asked: Asked): readonly RatingRow[] =>
  ratingTable(questionOf(basis, asked));

export type CurvePoint = { readonly driveWatts: number; readonly settled: Settled | null };

const CURVE_POINTS = 30;

/** The core over drive from nothing to `mostWatts`. */
export function curveFor(basis: RatingBasis, asked: Asked, mostWatts: number): readonly CurvePoint[] {
  const question = questionOf(basis, asked);
  const band = basis.model.bands.find((one) => one.band === asked.band);
  const mode = modeNamed(asked.mode);
  if (band === undefined || mode === undefined) return [];
  const sent = thinned(mode, asked.overShare);
  return Array.from({ length: CURVE_POINTS + 1 }, (_, index) => {
    const driveWatts = (mostWatts * index) / CURVE_POINTS;
    return { driveWatts, settled: settledCore(question, asked.airCelsius, band, sent, driveWatts) };
  });
}

/** Bands that bear about the same; `watts` is what the weakest of them bears. */
export type Group = { readonly watts: number; readonly capped: boolean; readonly bands: readonly string[] };

/** More clauses than this nobody keeps in mind. */
const MOST_GROUPS = 3;
/** Bands nearer than this share of each other's power belong together. */
const NEAR_RATIO = 0.12;

/** Bands by what they bear, most first, cut where the steps between them are widest; nothing above `mostWatts` is told apart. */
export function groupsOf(
  rows: readonly RatingRow[],
  mode: string,
  round: (watts: number) => number,
  mostWatts: number,
): readonly Group[] {
  const bands = rows.filter((row) => row.mode === mode);
  const borne = bands
    .map(({ band, sustainableWatts }, place) => ({ band, place, watts: Math.min(sustainableWatts, mostWatts) }))
    .sort((one, other) => other.watts - one.watts || one.place - other.place);
  const steps = borne
    .slice(1)
    .map(({ watts }, index) => ({ at: index + 1, ratio: 1 - watts / Math.max(borne[index]?.watts ?? 0, 1) }))
    .filter(({ ratio }) => ratio > NEAR_RATIO)
    .sort((one, other) => other.ratio - one.ratio)
    .slice(0, MOST_GROUPS - 1)
    .map(({ at }) => at)
    .sort((one, other) => one - other);
  const edges = [0, ...steps, borne.length];
  return edges.slice(1).map((end, index) => {
    const group = borne.slice(edges[index], end);
    const least = group.at(-1)?.watts ?? 0;
    const inOrder = [...group].sort((one, other) => one.place - other.place).map(({ band }) => band);
    return { watts: round(least), capped: least >= mostWatts, bands: inOrder };
  });
}
