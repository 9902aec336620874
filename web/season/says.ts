// The one sentence of the view Season: is it getting worse? Computed from the wear quantities, first days against last days.
// Pure; it says only what is more than scatter.

import type { SeasonReview, Wear } from "../../daemon/wire/season.ts";
import { type Figures, joined } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { type Change, changeOf, hotterKelvin, workingRiseKelvin } from "./change.ts";

const words = seasonStrings.sentence;

/** Below these a change is not worth a word. */
const LEAST_KELVIN = 0.75;
const LEAST_FAN_RATIO = 0.01;
const LEAST_LOSS_RATIO = 0.03;
const SOON_DAYS = 60;

export type Said = { readonly text: string; readonly tone: "calm" | "warn" | "act"; readonly notes: readonly string[] };

const named = (review: SeasonReview, quantity: string): Wear | undefined =>
  review.wear.find((wear) => wear.quantity === quantity);

/** Now over before; 1 where the difference may be chance or nothing is known. */
const ratioOf = (change: Change | null): number => (change?.telling ? change.now / change.before : 1);

function coreClause(review: SeasonReview, figures: Figures, airflowRatio: number, since: string): string | null {
  const rise = workingRiseKelvin(review);
  if (rise === null) return null;
  const kelvin = hotterKelvin(rise, airflowRatio);
  if (Math.abs(kelvin) < LEAST_KELVIN) return words.sameCore(since);
  return words.core(joined(figures.difference(Math.abs(kelvin), 0)), kelvin > 0, since);
}

function fanClause(ratio: number): string {
  if (Math.abs(ratio - 1) < LEAST_FAN_RATIO) return words.sameFan;
  return words.fan(String(Math.round(Math.abs(ratio - 1) * 100)), ratio < 1);
}

function lossClause(review: SeasonReview): string | null {
  const worst = review.wear
    .filter(({ quantity }) => quantity.startsWith("loss_factor "))
    .map((wear) => ({ band: wear.quantity.slice("loss_factor ".length), ratio: ratioOf(changeOf(wear)) }))
    .sort((one, other) => other.ratio - one.ratio)[0];
  if (worst === undefined || worst.ratio - 1 < LEAST_LOSS_RATIO) return null;
  return words.loss(worst.band.replace(" ", "\u00a0"), String(Math.round((worst.ratio - 1) * 100)));
}

/** Which wear reaches its alarm, soonest first. */
function nearing(review: Pick<SeasonReview, "wear">): readonly (Wear & { readonly days_to_alarm: number })[] {
  return review.wear
    .flatMap((wear) => (wear.days_to_alarm === null ? [] : [{ ...wear, days_to_alarm: wear.days_to_alarm }]))
    .sort((one, other) => one.days_to_alarm - other.days_to_alarm);
}

/** The sentence with its tone, and up to three quantities that come near their alarm. */
export function seasonSays(review: SeasonReview, figures: Figures): Said {
  if (review.hours.length === 0) return { text: words.empty, tone: "calm", notes: [] };
  const flow = named(review, "flow_factor");
  const fan = named(review, "fan_rpm_per_volt");
  const [flowChange, fanChange] = [flow, fan].map((wear) => (wear === undefined ? null : changeOf(wear)));
  const soon = nearing(review);
  const notes = soon.slice(0, 3).map((wear) => words.reaches(wear.name, figures.days(wear.days_to_alarm)));
  const first = flowChange ?? fanChange ?? null;
  if (first === null) return { text: words.young(review.days.length), tone: "calm", notes };
  const since = figures.month(first.sinceSeconds + review.utc_offset_seconds);
  const fanRatio = ratioOf(fanChange ?? null);
  const clauses = [
    coreClause(review, figures, fanRatio * ratioOf(flowChange ?? null), since),
    fanChange === null ? null : fanClause(fanRatio),
    lossClause(review),
  ].filter((clause) => clause !== null);
  const nearest = soon[0]?.days_to_alarm ?? Number.POSITIVE_INFINITY;
  return {
    text: words.join(clauses),
    tone: nearest < SOON_DAYS / 2 ? "act" : nearest < SOON_DAYS ? "warn" : "calm",
    notes,
  };
}
