// Toroids: dimensions → effective area, path, volume; the sizes a workshop has in its drawer; stacks of any sizes.
// It never knows a material: permeability belongs to the mix.
import { within } from "./physics-error.ts";

/** One toroid of rectangular cross-section. Effective parameters follow from the dimensions. */
export type Toroid = {
  readonly outsideDiameterMeters: number;
  readonly insideDiameterMeters: number;
  readonly heightMeters: number;
  readonly areaSquareMeters: number;
  readonly pathMeters: number;
  readonly volumeCubicMeters: number;
};

/** A stocked size: the hundredths of an inch by which the trade calls it, and its nominal dimensions in millimetres. */
export type ToroidSize = {
  readonly trade: string;
  readonly outsideMillimeters: number;
  readonly insideMillimeters: number;
  readonly heightMillimeters: number;
};

/**
 * Common sizes, nominal dimensions of Fair-Rite's catalogue of toroids for 43 and 61 (from memory; the dimensions
 * reproduce the catalogue's A_L values, see tests/reference). Tolerances of a few per cent are usual.
 */
export const TOROID_SIZES: readonly ToroidSize[] = [
  { trade: "37", outsideMillimeters: 9.5, insideMillimeters: 4.75, heightMillimeters: 3.3 },
  { trade: "50", outsideMillimeters: 12.7, insideMillimeters: 7.15, heightMillimeters: 4.9 },
  { trade: "82", outsideMillimeters: 21, insideMillimeters: 13.2, heightMillimeters: 6.35 },
  { trade: "114", outsideMillimeters: 29, insideMillimeters: 19, heightMillimeters: 7.5 },
  { trade: "140", outsideMillimeters: 35.55, insideMillimeters: 23, heightMillimeters: 12.7 },
  { trade: "240", outsideMillimeters: 61, insideMillimeters: 35.55, heightMillimeters: 12.7 },
];

/**
 * A toroid from its dimensions, m. Effective parameters by the core factors C1 and C2 of a ring of rectangular
 * cross-section (IEC 60205, from memory): with r = outside/inside,
 * l_e = 2π·ln r/(1/r_i − 1/r_o), A_e = h·ln²r/(1/r_i − 1/r_o), V_e = A_e·l_e. Throws `OUT_OF_RANGE`.
 */
export function toroid(outsideDiameterMeters: number, insideDiameterMeters: number, heightMeters: number): Toroid {
  within("outside diameter in m", outsideDiameterMeters, 1e-3, 1);
  within("inside diameter in m", insideDiameterMeters, 1e-4, outsideDiameterMeters * 0.999);
  within("height in m", heightMeters, 1e-4, 1);
  const logRatio = Math.log(outsideDiameterMeters / insideDiameterMeters);
  const curvature = 2 / insideDiameterMeters - 2 / outsideDiameterMeters;
  const pathMeters = (2 * Math.PI * logRatio) / curvature;
  const areaSquareMeters = (heightMeters * logRatio * logRatio) / curvature;
  return {
    outsideDiameterMeters,
    insideDiameterMeters,
    heightMeters,
    areaSquareMeters,
    pathMeters,
    volumeCubicMeters: areaSquareMeters * pathMeters,
  };
}

const DIMENSIONS = /^(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(mm|in)?$/i;

/** What `parseToroid` takes, for the line an operator reads. */
export const TOROID_SPELLING = `outside x inside x height such as 61.0x35.55x12.7mm, or one of ${TOROID_SIZES.map(
  (size) => size.trade,
).join(", ")}`;

/**
 * A toroid as an operator writes it: `61.0x35.55x12.7mm` (`in` for inches; millimetres when no unit is given), or a
 * size of the list (`240`). Undefined when it is neither, or when no such ring can exist.
 */
export function parseToroid(text: string): Toroid | undefined {
  const trimmed = text.trim();
  const size = TOROID_SIZES.find((candidate) => candidate.trade === trimmed);
  if (size !== undefined) {
    return toroid(size.outsideMillimeters / 1e3, size.insideMillimeters / 1e3, size.heightMillimeters / 1e3);
  }
  const match = DIMENSIONS.exec(trimmed);
  if (match === null) return undefined;
  const unitMeters = match[4]?.toLowerCase() === "in" ? 0.0254 : 1e-3;
  try {
    return toroid(Number(match[1]) * unitMeters, Number(match[2]) * unitMeters, Number(match[3]) * unitMeters);
  } catch {
    return undefined;
  }
}

/** `count` toroids of one size. */
export function stackOf(ring: Toroid, count: number): readonly Toroid[] {
  within("number of toroids", count, 1, 100);
  return Array.from({ length: Math.trunc(count) }, () => ring);
}

/**
 * Σ A_e/l_e, m. Stacked toroids share the turns, so every ring has the same ampere-turns and their inductances add;
 * mixed sizes are no exception.
 */
export function stackFactorMeters(toroids: readonly Toroid[]): number {
  let sum = 0;
  for (const ring of toroids) sum += ring.areaSquareMeters / ring.pathMeters;
  return sum;
}

/** Volume of ferrite by the drawing (not the effective volume), m³: what a balance and a heat capacity see. */
export function stackVolumeCubicMeters(toroids: readonly Toroid[]): number {
  let sum = 0;
  for (const ring of toroids) {
    const ringArea = (Math.PI / 4) * (ring.outsideDiameterMeters ** 2 - ring.insideDiameterMeters ** 2);
    sum += ringArea * ring.heightMeters;
  }
  return sum;
}

/** Height of the stack, m. */
export function stackHeightMeters(toroids: readonly Toroid[]): number {
  return toroids.reduce((sum, ring) => sum + ring.heightMeters, 0);
}
