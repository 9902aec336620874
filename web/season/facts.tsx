// The season in figures: hours, energy, cycles, time above temperatures. It only writes what the review has counted.

import { type SeasonReview, WATCHED_CELSIUS } from "../../daemon/wire/season.ts";
import { type Figure, type Figures, joined } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { strings } from "../strings.ts";

const words = seasonStrings.facts;

type FactsProps = { readonly review: SeasonReview; readonly figures: Figures };

export function Facts({ review, figures }: FactsProps) {
  const { total, fan } = review;
  const count = (value: number): Figure => ({ number: figures.number(value, 0), unit: "" });
  const facts: readonly (readonly [string, Figure | null])[] = [
    [words.peak, total.peak_core_celsius === null ? null : figures.temperature(total.peak_core_celsius, 0)],
    [words.onAir, figures.hours(total.transmitting_seconds)],
    [words.overs, count(total.overs)],
    [words.drive, figures.energy(total.drive_joules)],
    [words.heat, figures.energy(total.heat_joules)],
    [words.reduced, figures.hours(total.reduced_seconds)],
    [words.inhibited, figures.hours(total.inhibited_seconds)],
    [words.days, count(review.days.length)],
    [words.fan, figures.hours(fan.turning_hours * 3600)],
    [words.fanWeighted, figures.hours(fan.weighted_hours * 3600)],
  ];
  return (
    <section class="season-facts" aria-labelledby="season-facts-title">
      <h2 id="season-facts-title">{words.title}</h2>
      <dl>
        {facts.map(([name, figure]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              {figure === null ? strings.drawing.noReading : figure.number}
              {figure !== null && figure.unit !== "" && <span class="unit">{figure.unit}</span>}
            </dd>
          </div>
        ))}
      </dl>
      <p class="note">{figures.readable(`${words.fanWeighted}: ${fan.rule}.`)}</p>
    </section>
  );
}

export function Counts({ review, figures }: FactsProps) {
  const above = WATCHED_CELSIUS.map((celsius, index) => [celsius, review.total.seconds_above[index] ?? 0] as const);
  return (
    <section class="season-counts">
      <table>
        <caption>
          <b>{words.cycles}</b> {words.cyclesNote}
        </caption>
        <thead>
          <tr>
            <th scope="col">{words.range}</th>
            <th scope="col">{words.count}</th>
          </tr>
        </thead>
        <tbody>
          {review.cycles.map(({ from_kelvin, to_kelvin, count }) => (
            <tr key={from_kelvin}>
              <th scope="row">
                {to_kelvin === null
                  ? words.over(joined(figures.difference(from_kelvin, 0)))
                  : words.to(figures.difference(from_kelvin, 0).number, joined(figures.difference(to_kelvin, 0)))}
              </th>
              <td>{figures.number(count, Number.isInteger(count) ? 0 : 1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <table>
        <caption>
          <b>{words.above}</b>
        </caption>
        <thead>
          <tr>
            <th scope="col">{words.temperature}</th>
            <th scope="col">{words.time}</th>
          </tr>
        </thead>
        <tbody>
          {above.map(([celsius, seconds]) => (
            <tr key={celsius}>
              <th scope="row">{joined(figures.temperature(celsius, 0))}</th>
              <td>{seconds === 0 ? "0" : joined(figures.hours(seconds))}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
