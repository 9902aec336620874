// Two sessions laid over each other by elapsed time, chosen by the reader, with their figures side by side. The curves come
// from the log when they are asked for.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { SeasonReview, SessionSummary } from "../../daemon/wire/season.ts";
import { type Figures, joined } from "../figures.ts";
import type { Store } from "../store.ts";
import { seasonStrings } from "../strings/season.ts";
import { strings } from "../strings.ts";
import { type ElapsedTrace, tracesCsv } from "./csv.ts";
import { hourTicks } from "./day-ticks.ts";
import { download, fileName } from "./download.ts";
import { Plot, type Scales } from "./plot.tsx";
import { fetchTrace } from "./review.ts";
import type { Span } from "./span.ts";
import { TraceTable } from "./trace-table.tsx";
import { ZoomBar } from "./zoom-bar.tsx";

const words = seasonStrings.compare;
const SHORTEST_SECONDS = 1800;
const HEIGHT = 260;
const NAMES = ["first", "second"] as const;

/** The last two contests; else the last two sessions of any kind. */
export function usualPair(sessions: readonly SessionSummary[]): readonly [number, number] | null {
  const contests = sessions.filter(({ kind }) => kind === "contest");
  const [first, second] = (contests.length >= 2 ? contests : sessions).slice(-2);
  return first === undefined || second === undefined ? null : [first.id, second.id];
}

function figuresOf({ summary, from_seconds, to_seconds }: SessionSummary, figures: Figures): readonly string[] {
  const celsius = (value: number | null): string =>
    value === null ? strings.drawing.noReading : joined(figures.temperature(value, 0));
  return [
    celsius(summary.peak_core_celsius),
    celsius(summary.peak_core_upper_celsius),
    joined(figures.hours(to_seconds - from_seconds)),
    joined(figures.hours(summary.transmitting_seconds)),
    summary.duty_ratio === null ? strings.drawing.noReading : joined(figures.ratio(summary.duty_ratio)),
    figures.number(summary.overs, 0),
    joined(figures.energy(summary.heat_joules)),
    joined(figures.hours(summary.reduced_seconds)),
    `${figures.number(summary.sensor_errors_receiving, 0)} / ${figures.number(summary.sensor_errors_transmitting, 0)}`,
  ];
}

const ROWS = [
  words.peak,
  words.upper,
  words.length,
  words.onAir,
  words.duty,
  words.overs,
  words.heat,
  words.reduced,
  words.errors,
];

function Curves({ traces, scales: { x, y } }: { readonly traces: readonly ElapsedTrace[]; readonly scales: Scales }) {
  return (
    <>
      {traces.map(({ session, points }, index) => {
        const high = points.map(([at, , top]) => `${x(at).toFixed(1)} ${y(top).toFixed(1)}`);
        const low = points.map(([at, bottom]) => `${x(at).toFixed(1)} ${y(bottom).toFixed(1)}`).reverse();
        return (
          <g key={`${index} ${session.id}`} class={`curve-${NAMES[index] ?? "first"}`}>
            <path class="curve-band" d={`M${[...high, ...low].join("L")}Z`} />
            <path class="curve-line" d={`M${high.join("L")}`} />
          </g>
        );
      })}
    </>
  );
}

type ChoiceProps = {
  readonly name: (typeof NAMES)[number];
  readonly review: SeasonReview;
  readonly figures: Figures;
  readonly chosen: number;
  readonly onChoose: (id: number) => void;
};

/** Which session this curve is, with the stroke it is drawn in. */
function Choice({ name, review, figures, chosen, onChoose }: ChoiceProps) {
  return (
    <label class={`curve-${name}`}>
      <svg width="34" height="12" aria-hidden="true">
        <path class="curve-line" d="M1 6H33" />
      </svg>
      <span class="hidden">{words[name]}</span>
      <select value={chosen} onChange={(event) => onChoose(Number(event.currentTarget.value))}>
        {review.sessions.map((session) => (
          <option key={session.id} value={session.id}>
            {`${session.name}, ${figures.day(session.from_seconds + review.utc_offset_seconds)}`}
          </option>
        ))}
      </select>
    </label>
  );
}

type BesideProps = { readonly first: SessionSummary; readonly second: SessionSummary; readonly figures: Figures };

/** The figures of both, row by row. */
function Beside({ first, second, figures }: BesideProps) {
  const cells = [figuresOf(first, figures), figuresOf(second, figures)] as const;
  return (
    <div class="compare-figures">
      <table>
        <thead>
          <tr>
            <td />
            <th scope="col">{first.name}</th>
            <th scope="col">{second.name}</th>
          </tr>
        </thead>
        <tbody>
          {ROWS.map((name, row) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>{cells[0][row]}</td>
              <td>{cells[1][row]}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

type CompareProps = { readonly review: SeasonReview; readonly store: Store };

export function Compare({ review, store }: CompareProps) {
  const { sessions } = review;
  const figures = store.figures.value;
  const pair = useSignal(usualPair(sessions));
  const traces = useSignal<readonly ElapsedTrace[] | "waiting" | "missing">("waiting");
  const chosen = (pair.value ?? []).flatMap((id) => sessions.find((session) => session.id === id) ?? []);
  const asked = chosen.map(({ id }) => id).join();
  useEffect(() => {
    let ended = false;
    void Promise.all(chosen.map((session) => fetchTrace(store.fetch, session))).then((found) => {
      if (!ended) traces.value = found.includes(null) ? "missing" : found.filter((trace) => trace !== null);
    });
    return () => {
      ended = true;
    };
  }, [asked, review]);
  const whole: Span = {
    from: 0,
    to: Math.max(1, ...chosen.map(({ from_seconds, to_seconds }) => to_seconds - from_seconds)),
  };
  const span = useSignal<Span | null>(null);
  const shown = span.value ?? whole;
  const show = (next: Span): void => {
    span.value = next.from <= whole.from && next.to >= whole.to ? null : next;
  };
  const [first, second] = chosen;
  if (first === undefined || second === undefined) {
    return (
      <section>
        <h2>{words.title}</h2>
        <p class="note">{words.none}</p>
      </section>
    );
  }
  const drawn = typeof traces.value === "string" ? [] : traces.value;
  const seen = drawn
    .flatMap(({ points }) => points.filter(([at]) => at >= shown.from && at <= shown.to))
    .flatMap(([, low, high]) => [figures.temperatureValue(low), figures.temperatureValue(high)]);
  const values: readonly [number, number] =
    seen.length === 0
      ? [0, 100]
      : [Math.floor(Math.min(...seen) / 10) * 10, Math.ceil(Math.max(...seen) / 10 + 0.2) * 10];
  const inDegrees = drawn.map(({ session, points }) => ({
    session,
    points: points.map(
      ([at, low, high]) => [at, figures.temperatureValue(low), figures.temperatureValue(high)] as const,
    ),
  }));
  return (
    <section aria-labelledby="season-compare-title">
      <h2 id="season-compare-title">
        {words.title} <span class="trail-unit">{figures.temperature(0).unit}</span>
      </h2>
      <div class="compare-choice">
        {NAMES.map((name, index) => (
          <Choice
            key={name}
            name={name}
            review={review}
            figures={figures}
            chosen={index === 0 ? first.id : second.id}
            onChoose={(id) => {
              traces.value = "waiting";
              pair.value = index === 0 ? [id, second.id] : [first.id, id];
              span.value = null;
            }}
          />
        ))}
      </div>
      <ZoomBar
        span={shown}
        whole={whole}
        shortest={SHORTEST_SECONDS}
        text={(at) => joined({ number: figures.number(at / 3600, 1), unit: "h" })}
        onSpan={show}
      />
      {traces.value === "waiting" && (
        <p class="note" role="status">
          {words.waiting}
        </p>
      )}
      {traces.value === "missing" && (
        <p class="note" role="status">
          {words.missing}
        </p>
      )}
      <Plot
        label={words.chart(first.name, second.name)}
        height={HEIGHT}
        span={shown}
        whole={whole}
        shortest={SHORTEST_SECONDS}
        values={values}
        ticksOf={hourTicks(figures)}
        valueText={(value) => figures.number(value, 0)}
        onSpan={show}
      >
        {(scales) => <Curves traces={inDegrees} scales={scales} />}
      </Plot>
      <p class="note plot-foot">{words.elapsed}</p>
      <Beside first={first} second={second} figures={figures} />
      <TraceTable traces={drawn} figures={figures} />
      <button
        type="button"
        onClick={() => download(tracesCsv(review, drawn, shown), fileName("sessions", review.simulated || review.demo))}
      >
        {words.save}
      </button>
    </section>
  );
}
