// The season on paper: one HTML file with everything in it, for a screen or for A4 and Letter. It shows what the review says and
// adds nothing; a simulated or made-up season says so on every page.

import type { CycleClass, SeasonReview, SessionSummary, Summary, Wear } from "../../wire/season.ts";
import { WATCHED_CELSIUS } from "../../wire/season.ts";
import { dateTicks, type HeatCell, heatMap, markup, timeChart } from "./chart.ts";
import { celsius, date, energy, hours, offset } from "./figures.ts";
import { STYLE } from "./style.ts";

export type ReportFacts = {
  readonly review: SeasonReview;
  /** Core: least and greatest per stretch of time. */
  readonly core: readonly (readonly [number, number, number])[];
  readonly limitCelsius: number;
  readonly writtenSeconds: number;
  readonly version: string;
};

const DAY = 86_400;
const MOST_NOTES = 60;

export function reportHtml({ review, core, limitCelsius, writtenSeconds, version }: ReportFacts): string {
  const mark = markOf(review);
  const title = `${review.name}: season`;
  const sections = [
    `<header><h1>${markup(review.name)}</h1><p class="span">${date(review.from_seconds, review)} to ${date(review.to_seconds - 1, review)}, days at UTC${offset(review)}</p>` +
      `${mark === "" ? "" : `<p class="simulated">${markup(mark)}</p>`}<p class="sentence">${markup(review.sentence)}</p></header>`,
    totals(review.total),
    section("The core, day by day", coreChart(review, core, limitCelsius) + hoursMap(review)),
    section("Bands", bandTable(review.total)),
    section("Wear", wearCharts(review)),
    section("The fan", fanText(review)),
    section("Thermal cycles of the core", cyclesTable(review.cycles)),
    review.sessions.length === 0 ? "" : section("Sessions", sessionTable(review)),
    review.notes.length === 0 ? "" : section("Notes and what was done", notesTable(review)),
    `<footer><p>Written by emberwire ${markup(version)} on ${date(writtenSeconds, review)}. Temperatures of the core are estimates of a model from measured air;
     a calibrated probe is the judge. Watch for RF burns and mains when you open the box; follow local codes.</p></footer>`,
  ];
  return (
    `<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">` +
    `<title>${markup(title)}</title><style>${STYLE}${mark === "" ? "" : onEveryPage(mark)}</style></head><body>` +
    `${sections.join("\n")}</body></html>\n`
  );
}

function markOf({ simulated, demo, imported }: SeasonReview): string {
  const said = [
    simulated ? "SIMULATED: from a simulated feedpoint, not measured" : "",
    demo ? "some or all of it a made-up demo season" : "",
    imported ? "with imported recordings" : "",
  ].filter((text) => text !== "");
  return said.join("; ");
}

/** In the margin of each printed page. */
const onEveryPage = (mark: string): string =>
  `@page { @bottom-center { content: ${JSON.stringify(mark)}; font: 8pt sans-serif; color: #a3290f; } }`;

const section = (title: string, body: string): string => `<section><h2>${markup(title)}</h2>${body}</section>`;

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const cells = (tag: "td" | "th", row: readonly string[]): string =>
    row.map((cell, index) => `<${tag}${index === 0 ? "" : ' class="n"'}>${markup(cell)}</${tag}>`).join("");
  const body = rows.map((row) => `<tr>${cells("td", row)}</tr>`).join("");
  return `<table><thead><tr>${cells("th", head)}</tr></thead><tbody>${body}</tbody></table>`;
}

function totals(total: Summary): string {
  const rows: readonly (readonly [string, string])[] = [
    ["On the air", `${hours(total.transmitting_seconds)} in ${total.overs} overs`],
    ["Duty", total.duty_ratio === null ? "not known" : `${(100 * total.duty_ratio).toFixed(1)} % of the logged time`],
    ["Peak core", celsius(total.peak_core_celsius)],
    ["Peak of the upper bound", celsius(total.peak_core_upper_celsius)],
    ["Turned to heat", energy(total.heat_joules)],
    ["Drive", energy(total.drive_joules)],
    ["Power reduced, inhibited", `${hours(total.reduced_seconds)}, ${hours(total.inhibited_seconds)}`],
    [
      "Failed reads, receiving and transmitting",
      `${total.sensor_errors_receiving}, ${total.sensor_errors_transmitting}`,
    ],
  ];
  const above = WATCHED_CELSIUS.map((degree, index) => [`${degree} °C`, hours(total.seconds_above[index]!)] as const);
  const list = rows.map(([name, value]) => `<div><dt>${name}</dt><dd>${markup(value)}</dd></div>`).join("");
  return `<section class="totals"><dl>${list}</dl>${table(["Core at or above", "for"], above)}</section>`;
}

function coreChart(review: SeasonReview, core: ReportFacts["core"], limitCelsius: number): string {
  return timeChart({
    title: "Core: greatest and least",
    unit: "°C",
    fromSeconds: review.from_seconds,
    toSeconds: review.to_seconds,
    utcOffsetSeconds: review.utc_offset_seconds,
    lines: [
      { name: "greatest", colour: "#a3290f", points: core.map(([seconds, , max]) => [seconds, max]) },
      { name: "least", colour: "#2b6c8f", points: core.map(([seconds, min]) => [seconds, min]) },
    ],
    marks: [{ name: `limit ${limitCelsius.toFixed(0)} °C`, value: limitCelsius }],
    events: review.notes
      .filter(({ kind }) => kind === "note")
      .map(({ at_seconds, text }) => ({ name: text, seconds: at_seconds })),
    height: 220,
    gapSeconds: Math.max(2 * 3_600, (3 * (review.to_seconds - review.from_seconds)) / 1_000),
  });
}

function hoursMap(review: SeasonReview): string {
  const offsetHours = review.utc_offset_seconds / 3_600;
  const firstDay = Math.floor((review.from_seconds + review.utc_offset_seconds) / DAY);
  const columns = Math.floor((review.to_seconds - 1 + review.utc_offset_seconds) / DAY) - firstDay + 1;
  const cells = review.hours.flatMap(({ hour, peak_core_celsius }): HeatCell[] => {
    if (peak_core_celsius === null) return [];
    const local = hour + offsetHours;
    const day = Math.floor(local / 24);
    return [{ column: day - firstDay, row: local - day * 24, value: peak_core_celsius }];
  });
  const labels = dateTicks(review.from_seconds, review.to_seconds, review.utc_offset_seconds).map(
    ({ seconds, text }) => ({
      column: Math.floor((seconds + review.utc_offset_seconds) / DAY) - firstDay,
      text,
    }),
  );
  return heatMap("Peak core by day and hour", "°C", columns, cells, labels);
}

function bandTable({ bands }: Summary): string {
  if (bands.length === 0) return `<p class="none">Nothing was transmitted.</p>`;
  return table(
    ["Band", "On the air", "Overs", "Drive", "Heat", "Loss", "Peak core", "Loss factor"],
    bands.map((band) => [
      band.band,
      hours(band.transmitting_seconds),
      String(band.overs),
      energy(band.drive_joules),
      energy(band.heat_joules),
      band.drive_joules > 0 ? `${((100 * band.heat_joules) / band.drive_joules).toFixed(1)} %` : "",
      celsius(band.peak_core_celsius),
      band.loss_factor === null ? "" : band.loss_factor.toFixed(3),
    ]),
  );
}

function wearCharts(review: SeasonReview): string {
  if (review.wear.length === 0) return `<p class="none">Not enough days yet.</p>`;
  return review.wear
    .map(
      (wear) =>
        `<div class="wear"><p>${markup(wear.sentence)}</p>${wearChart(review, wear)}${wearSteps(review, wear)}</div>`,
    )
    .join("");
}

function wearChart(review: SeasonReview, { name, unit, points, trend, steps, alarm_value }: Wear): string {
  const values = points.map(([, value]) => value);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  // An alarm far off would flatten the curve; its value stands in the sentence.
  const near = alarm_value !== null && alarm_value > low - 2 * (high - low) && alarm_value < high + 2 * (high - low);
  const line =
    trend === null
      ? []
      : [trend.from_seconds, trend.to_seconds].map(
          (seconds) =>
            [
              seconds,
              trend.value_now + (trend.slope_per_month * (seconds - trend.to_seconds)) / (30.44 * DAY),
            ] as const,
        );
  return timeChart({
    title: name.charAt(0).toUpperCase() + name.slice(1),
    unit,
    fromSeconds: review.from_seconds,
    toSeconds: review.to_seconds,
    utcOffsetSeconds: review.utc_offset_seconds,
    lines: [
      { name: "day", colour: "#555", points, dots: true },
      { name: "trend", colour: "#a3290f", points: line },
    ],
    marks: near ? [{ name: "alarm", value: alarm_value }] : [],
    events: steps.map(({ at_seconds, attributed_to }) => ({ name: attributed_to ?? "step", seconds: at_seconds })),
    height: 130,
    gapSeconds: Number.POSITIVE_INFINITY,
  });
}

function wearSteps(review: SeasonReview, { steps, unit }: Wear): string {
  if (steps.length === 0) return "";
  const items = steps.map(
    ({ at_seconds, before, after, attributed_to }) =>
      `<li>${date(at_seconds, review)}: from ${before} to ${after}${unit === "" ? "" : ` ${markup(unit)}`}` +
      `${attributed_to === null ? ", no note near it" : `; note: ${markup(attributed_to)}`}</li>`,
  );
  return `<ul>${items.join("")}</ul>`;
}

function fanText({ fan }: SeasonReview): string {
  return (
    `<p>Turned for ${fan.turning_hours.toFixed(0)} h, which weigh as ${fan.weighted_hours.toFixed(0)} h; ${fan.starts} starts seen. ` +
    `Weighing: ${markup(fan.rule)}.</p>`
  );
}

function cyclesTable(cycles: readonly CycleClass[]): string {
  const rows = cycles.map(({ from_kelvin, to_kelvin, count }) => [
    to_kelvin === null ? `${from_kelvin} K and more` : `${from_kelvin} to ${to_kelvin} K`,
    String(count),
  ]);
  return `${table(["Range", "Cycles"], rows)}<p class="small">Rainflow count after ASTM E1049-85; a half is an open cycle. Swings below 2 K are left out.</p>`;
}

function sessionTable(review: SeasonReview): string {
  const row = ({ name, kind, from_seconds, to_seconds, summary, exact }: SessionSummary): readonly string[] => [
    `${name}${exact ? "" : " (whole hours)"}`,
    kind,
    date(from_seconds, review),
    hours(to_seconds - from_seconds),
    String(summary.overs),
    summary.duty_ratio === null ? "" : `${(100 * summary.duty_ratio).toFixed(0)} %`,
    energy(summary.heat_joules),
    celsius(summary.peak_core_celsius),
  ];
  return table(["Session", "Kind", "Begins", "Lasts", "Overs", "Duty", "Heat", "Peak core"], review.sessions.map(row));
}

function notesTable(review: SeasonReview): string {
  const shown = review.notes.slice(-MOST_NOTES);
  const left = review.notes.length - shown.length;
  const rows = shown.map(
    ({ at_seconds, kind, text }) =>
      `<tr><td>${date(at_seconds, review)}</td><td>${markup(kind)}</td><td>${markup(text)}</td></tr>`,
  );
  return (
    `<table class="notes"><thead><tr><th>Date</th><th>Kind</th><th>What</th></tr></thead><tbody>${rows.join("")}</tbody></table>` +
    `${left > 0 ? `<p class="small">${left} earlier ones are in the log.</p>` : ""}`
  );
}
