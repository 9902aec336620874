// What is written on the drawing: each quantity with its place, its words and how far to believe it. Pure; it takes the
// frame as it is and never fills a gap with an older number.

import type { Frame, Quantity, WireQuality } from "../../daemon/wire/frame.ts";
import { type Figure, type Figures, joined } from "../figures.ts";
import { strings } from "../strings.ts";
import type { Spot } from "./sheet.ts";

/** One callout's text. `figure` is null when there is no number to show; then the place of the number is struck. */
export type Readout = {
  readonly spot: Spot;
  readonly name: string;
  readonly figure: Figure | null;
  readonly quality: WireQuality;
  /** Why the number is suspect or missing, in words; empty for good and estimated ones. */
  readonly why: string;
  /** True where the name itself is bad news, as "fan: stalled". */
  readonly alarming: boolean;
  /** Smaller lines under the number. */
  readonly lines: readonly string[];
};

const words = strings.drawing;

const ALARMING_VERDICTS: readonly string[] = ["stalled", "slow", "surging", "doubtful"];

type Write = (value: number) => Figure;

function readout(
  spot: Spot,
  name: string,
  quantity: Quantity | undefined,
  write: Write,
  lines: readonly string[],
): Readout[] {
  if (quantity === undefined) return [];
  const { value, quality, code } = quantity;
  const believed: WireQuality = value === null ? "bad" : quality;
  const figure = value === null || quality === "bad" ? null : write(value);
  const why =
    quality === "estimated" && value === null
      ? words.noEstimate
      : believed === "suspect" || believed === "bad"
        ? words.code(code)
        : "";
  return [{ spot, name, figure, quality: believed, why, alarming: false, lines }];
}

/** A smaller line for a quantity, marked like the large ones; nothing when it is not there. */
function lineOf(name: string, quantity: Quantity | undefined, write: Write, after = ""): string[] {
  if (quantity === undefined) return [];
  if (quantity.value === null || quantity.quality === "bad")
    return [`${name} ${quantity.quality === "estimated" ? words.noReading : words.bad}`.trim()];
  const mark =
    quantity.quality === "estimated"
      ? ` ${words.estimated}`
      : quantity.quality === "suspect"
        ? ` ${words.suspect}`
        : "";
  return [`${name === "" ? "" : `${name} `}${joined(write(quantity.value))}${after}${mark}`];
}

function coreLines(frame: Frame, figures: Figures): readonly string[] {
  const { core_celsius, core_upper_celsius, loss_watts } = frame.quantities;
  const upper = core_upper_celsius?.value ?? null;
  const bound =
    upper === null || core_celsius === undefined ? [] : [words.upper(joined(figures.temperature(upper, 0)))];
  return [...bound, ...lineOf(words.loss, loss_watts, figures.power)];
}

function driveLines(frame: Frame): readonly string[] {
  const state =
    frame.transmitting === null ? words.transmittingUnknown : frame.transmitting ? words.transmitting : words.receiving;
  const where = [frame.band, frame.mode].filter((part) => part !== null).join(" ");
  return where === "" ? [state] : [state, where];
}

/** All callouts of `frame`, in reading order: along the air, then the rest. */
export function readouts(frame: Frame, figures: Figures): readonly Readout[] {
  const all = frame.quantities;
  const temperature = (value: number): Figure => figures.temperature(value, 1);
  const electric =
    (unit: "V" | "A"): Write =>
    (value) =>
      figures.electric(value, unit);
  const supply = [...lineOf("", all.fan_volts, electric("V")), ...lineOf("", all.fan_amperes, electric("A"))].join(
    ", ",
  );
  // The water in the air is the same outside and at the vents; it stands where there is room for it.
  const moisture = [
    ...lineOf(words.humidity, all.humidity_ratio, figures.ratio),
    ...lineOf(words.dewPoint, all.dew_point_celsius, (value) => figures.temperature(value, 0)),
  ];
  const fanName = `${words.fan}: ${words.fanVerdict(frame.fan)}`;
  return [
    ...readout("ambient", words.ambient, all.ambient_celsius, temperature, moisture),
    ...readout("inlet", words.inlet, all.inlet_celsius, temperature, all.ambient_celsius ? [] : moisture),
    ...readout(
      "core",
      words.core,
      all.core_celsius,
      (value) => figures.temperature(value, 0),
      coreLines(frame, figures),
    ),
    ...readout("outlet", words.outlet, all.outlet_celsius, temperature, []),
    ...readout("fan", fanName, all.fan_rpm, figures.speed, supply === "" ? [] : [supply]).map((fan) => ({
      ...fan,
      alarming: ALARMING_VERDICTS.includes(frame.fan),
    })),
    ...readout("airflow", words.airflow, all.airflow_cubic_meters_per_second, figures.airflow, [
      ...lineOf(words.flowFactor, all.flow_factor, (factor) => figures.ratio(Math.min(1, factor)), words.clear),
    ]),
    ...readout("drive", words.drive, all.drive_watts, figures.power, driveLines(frame)),
    ...readout("wall", words.wall, all.wall_celsius, temperature, []),
  ];
}

/** The drawing in sentences, for those who cannot see it. */
export function spokenDrawing(all: readonly Readout[], frame: Frame, ageSeconds: number | null): string {
  const { spoken } = strings;
  const parts = all.map(({ name, figure, quality, why, lines }) => {
    const value = figure === null ? "" : joined(figure);
    const said =
      quality === "bad"
        ? spoken.bad(name, why)
        : quality === "suspect"
          ? spoken.suspect(name, value, why)
          : quality === "estimated"
            ? spoken.estimated(name, value)
            : spoken.measured(name, value);
    return [said, ...lines.map((line) => `${line}.`)].join(" ");
  });
  const old = ageSeconds !== null && ageSeconds >= 3 ? [spoken.old(Math.floor(ageSeconds))] : [];
  const fan = frame.quantities.fan_rpm === undefined ? [spoken.fan(words.fanVerdict(frame.fan))] : [];
  return [spoken.begin, ...old, ...parts, ...fan].join(" ");
}
