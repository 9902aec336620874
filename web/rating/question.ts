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

/** What one more clause (of at most three, which a person keeps in mind) must tell: this share of one band's power. */
const CLAUSE_WORTH = 0.12;

/** Bands by what they bear, most first, cut where the least is left unsaid; nothing above `mostWatts` is told apart. */
export function groupsOf(
  rows: readonly RatingRow[],
  mode: string,
  round: (watts: number) => number,
  mostWatts: number,
): readonly Group[] {
  const borne = rows
    .filter((row) => row.mode === mode)
    .map(({ band, sustainableWatts }, place) => ({ band, place, watts: Math.min(sustainableWatts, mostWatts) }))
    .sort((one, other) => other.watts - one.watts || one.place - other.place);
  const edges = bestEdges(borne.map(({ watts }) => watts));
  return edges.slice(1).map((end, index) => {
    const group = borne.slice(edges[index], end);
    const least = group.at(-1)?.watts ?? 0;
    const inOrder = [...group].sort((one, other) => one.place - other.place).map(({ band }) => band);
    return { watts: round(least), capped: least >= mostWatts, bands: inOrder };
  });
}

/** Edges of one to three groups of falling `watts`. A group is said by its last, so the others' surplus goes unsaid. */
function bestEdges(watts: readonly number[]): readonly number[] {
  const unsaid = (from: number, to: number): number => {
    const least = watts[to - 1] ?? 0;
    return watts.slice(from, to).reduce((sum, one) => sum + (one > 0 ? 1 - least / one : 0), 0);
  };
  let best: readonly number[] = [0, watts.length];
  let lowest = unsaid(0, watts.length);
  for (let first = 1; first < watts.length; first += 1) {
    for (let second = first + 1; second <= watts.length; second += 1) {
      const edges = second === watts.length ? [0, first, second] : [0, first, second, watts.length];
      const left = edges.slice(1).reduce((sum, end, index) => sum + unsaid(edges[index] ?? 0, end), 0);
      const cost = left + CLAUSE_WORTH * (edges.length - 2);
      if (cost < lowest) [best, lowest] = [edges, cost];
    }
  }
  return best;
}

/** `names` as stretches of `all`: a stretch to the end, a stretch from one to another, or single ones. */
export type Stretch = { readonly from: string; readonly to: string | null; readonly last: boolean };

/** Neighbours said as one stretch. */
export function stretchesOf(names: readonly string[], all: readonly string[]): readonly Stretch[] {
  const stretches: { from: string; to: string }[] = [];
  for (const name of names) {
    const open = stretches.at(-1);
    if (open !== undefined && all.indexOf(name) === all.indexOf(open.to) + 1) open.to = name;
    else stretches.push({ from: name, to: name });
  }
  return stretches.map(({ from, to }) => ({
    from,
    to: from === to ? null : to,
    last: from !== to && to === all.at(-1),
  }));
}
