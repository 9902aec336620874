// The panel of the last half hour: canvas, its table twin, and the key to the shading. It loads the chart after the page
// is painted; live numbers never wait for it.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Figures } from "../figures.ts";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";
import { shownSeconds, TRAIL_SECONDS } from "../trail.ts";
import type { ChartColours } from "./chart-picture.ts";
import type { TrailChart } from "./trail-chart.ts";
import { minuteRows } from "./trail-table.ts";

const words = strings.chart;
/** Longer without data is drawn as a hole, s; a fast simulation shows only some of its seconds live. */
const HOLE_SECONDS = 20;

/** Reads the look's colours from the page; there is one list of colours, in the style sheet. */
function coloursOf(element: Element): ChartColours {
  const style = getComputedStyle(element);
  const colour = (name: string): string => style.getPropertyValue(`--${name}`).trim();
  return {
    core: colour("chart-core"),
    band: colour("chart-band"),
    outlet: colour("chart-outlet"),
    inlet: colour("chart-inlet"),
    limit: colour("chart-limit"),
    ink: colour("ink-soft"),
    grid: colour("rule"),
    over: colour("chart-over"),
    keyed: colour("chart-keyed"),
    paper: colour("paper"),
  };
}

function TrailTable({ store }: { readonly store: Store }) {
  const { frame } = store.model.value;
  const figures: Figures = store.figures.value;
  if (frame === null) return null;
  const offset = frame.wall_seconds - frame.at_seconds;
  const degrees = (celsius: number | null): string =>
    celsius === null ? strings.drawing.noReading : figures.temperature(celsius, 1).number;
  const unit = figures.temperature(0).unit;
  return (
    <table>
      <caption>{words.tableCaption}</caption>
      <thead>
        <tr>
          <th scope="col">{words.time}</th>
          <th scope="col">{`${words.core}, ${unit}`}</th>
          <th scope="col">{`${words.upper}, ${unit}`}</th>
          <th scope="col">{`${words.outlet}, ${unit}`}</th>
          <th scope="col">{`${words.inlet}, ${unit}`}</th>
          <th scope="col">{`${words.drive}, W`}</th>
        </tr>
      </thead>
      <tbody>
        {minuteRows(store.trail.value, offset).map((row) => (
          <tr key={row.atSeconds}>
            <th scope="row">{figures.clock(row.atSeconds + offset)}</th>
            <td>{degrees(row.core_celsius)}</td>
            <td>{degrees(row.core_upper_celsius)}</td>
            <td>{degrees(row.outlet_celsius)}</td>
            <td>{degrees(row.inlet_celsius)}</td>
            <td>{row.drive_watts === null ? strings.drawing.noReading : figures.power(row.drive_watts).number}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function TrailPanel({ store }: { readonly store: Store }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const chart = useRef<TrailChart | null>(null);
  const loaded = useSignal(false);
  const open = useSignal(false);

  // On a slow link the chart's file must not stand in the way of the first numbers.
  const hasFrame = store.model.value.frame !== null;
  useEffect(() => {
    if (!hasFrame) return undefined;
    let ended = false;
    void import("./trail-chart.ts").then(({ createTrailChart }) => {
      if (ended || canvas.current === null) return;
      chart.current = createTrailChart(canvas.current);
      loaded.value = true;
    });
    return () => {
      ended = true;
      chart.current?.end();
    };
  }, [loaded, hasFrame]);

  const { frame, about } = store.model.value;
  const figures = store.figures.value;
  const trail = store.trail.value;
  const shown = frame === null ? TRAIL_SECONDS : shownSeconds(trail, frame.at_seconds);
  const { look } = store;
  const chosenLook = look.value;
  const { size } = store.preferences.value;
  const isLoaded = loaded.value;
  useEffect(() => {
    const element = canvas.current;
    if (!isLoaded || element === null || frame === null || about === null) return;
    const offset = frame.wall_seconds - frame.at_seconds;
    chart.current?.draw({
      trail,
      nowSeconds: frame.at_seconds,
      spanSeconds: shown,
      holeSeconds: Math.max(HOLE_SECONDS, about.speed * 3),
      tickPhaseSeconds: -offset,
      limitCelsius: about.limit_celsius,
      degrees: figures.temperatureValue,
      colours: coloursOf(element),
      fontPixels: Number.parseFloat(getComputedStyle(element).fontSize),
      words: {
        core: words.core,
        upper: words.upper,
        outlet: words.outlet,
        inlet: words.inlet,
        limit: words.limit(figures.temperature(about.limit_celsius, 0).number),
        time: (atSeconds) => figures.clock(atSeconds + offset),
      },
    });
  }, [trail, frame, about, figures, isLoaded, chosenLook, size]);

  return (
    <section class="trail" aria-labelledby="trail-title">
      <h2 id="trail-title">
        {words.title(shown / 60)}
        <span class="trail-unit">{figures.temperature(0).unit}</span>
        <span class="trail-key">
          <span class="trail-swatch" aria-hidden="true" />
          {words.transmitting}
        </span>
      </h2>
      <div class="trail-canvas">
        <canvas ref={canvas} role="img" aria-label={words.label} />
      </div>
      {store.historyMissing.value && <p class="note">{words.noHistory}</p>}
      <details
        onToggle={(event) => {
          open.value = event.currentTarget.open;
        }}
      >
        <summary>{words.table}</summary>
        {open.value && (
          <div class="table-twin">
            <TrailTable store={store} />
          </div>
        )}
      </details>
    </section>
  );
}
