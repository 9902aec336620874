// The heat scale of the drawing: temperature to colour, lightness rising all the way, so that hotter is always lighter,
// in print, in grey and to an eye without red. It never decides what is too hot.

import type { Look } from "./preferences.ts";

/** A colour in OKLCH: lightness 0–1, chroma, hue in degrees. */
type Anchor = readonly [lightness: number, chroma: number, hueDegrees: number];

/** From cold iron to glowing: slate, plum, red, ember, straw. Evenly spaced; lightness strictly rising. */
const DAYLIGHT: readonly Anchor[] = [
  [0.33, 0.035, 245],
  [0.42, 0.085, 325],
  [0.54, 0.165, 18],
  [0.7, 0.165, 52],
  [0.89, 0.13, 92],
];

/** One hue for eyes that must stay dark-adapted: only the lightness speaks. */
const NIGHT: readonly Anchor[] = [
  [0.14, 0.05, 29],
  [0.26, 0.1, 29],
  [0.38, 0.15, 29],
  [0.5, 0.19, 29],
  [0.62, 0.23, 29],
];

const clamp = (value: number, low: number, high: number): number => Math.min(high, Math.max(low, value));

/** Björn Ottosson's OKLab (2020) to linear sRGB. */
function linearFromOklab(lightness: number, a: number, b: number): readonly [number, number, number] {
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s,
  ];
}

/** IEC 61966-2-1 transfer curve, one channel, to a byte. */
function byteFromLinear(channel: number): number {
  const clipped = clamp(channel, 0, 1);
  const encoded = clipped <= 0.0031308 ? 12.92 * clipped : 1.055 * clipped ** (1 / 2.4) - 0.055;
  return Math.round(encoded * 255);
}

/** `#rrggbb` of an OKLab colour; chroma is drawn in until sRGB can show it, lightness is kept. */
function hexFromOklab(lightness: number, a: number, b: number): string {
  let keep = 1;
  let channels = linearFromOklab(lightness, a, b);
  while (keep > 0 && channels.some((channel) => channel < -1e-4 || channel > 1.0001)) {
    keep -= 0.02;
    channels = linearFromOklab(lightness, a * keep, b * keep);
  }
  return `#${channels.map((channel) => byteFromLinear(channel).toString(16).padStart(2, "0")).join("")}`;
}

/** Ends of the scale, °C: freezing to a little beyond the limit, so that the limit itself is not the last colour. */
export function heatDomainCelsius(limitCelsius: number): readonly [low: number, high: number] {
  return [0, limitCelsius + 20];
}

/** Where `celsius` lies on the scale, 0–1, clamped at both ends. */
export function heatPosition(celsius: number, limitCelsius: number): number {
  const [low, high] = heatDomainCelsius(limitCelsius);
  return clamp((celsius - low) / (high - low), 0, 1);
}

/** Colour `#rrggbb` at `position` 0–1 of the scale; interpolated in OKLab between the anchors. */
export function heatColour(position: number, look: Look): string {
  const anchors = look === "night" ? NIGHT : DAYLIGHT;
  const place = clamp(position, 0, 1) * (anchors.length - 1);
  const index = Math.min(anchors.length - 2, Math.floor(place));
  const [from, to] = [anchors[index], anchors[index + 1]];
  if (from === undefined || to === undefined) throw new RangeError("heat scale has fewer than two anchors");
  const part = place - index;
  const mix = (left: number, right: number): number => left + (right - left) * part;
  const cartesian = ([, chroma, hue]: Anchor): readonly [number, number] => [
    chroma * Math.cos((hue * Math.PI) / 180),
    chroma * Math.sin((hue * Math.PI) / 180),
  ];
  const [fromA, fromB] = cartesian(from);
  const [toA, toB] = cartesian(to);
  return hexFromOklab(mix(from[0], to[0]), mix(fromA, toA), mix(fromB, toB));
}
