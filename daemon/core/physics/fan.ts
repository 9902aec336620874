// A fan's curve, its affinity laws, and where it crosses what the vents resist.
// It never takes a catalogue's free delivery for what moves in a box.
import { within } from "./physics-error.ts";

/** One point of a fan curve: airflow m³/s and the static pressure there, Pa. */
export type FanPoint = { readonly airflowCubicMetersPerSecond: number; readonly pressurePascals: number };

/** Fan curve at its nominal speed in air of `densityKilogramsPerCubicMeter`: from shut off (flow 0) to free delivery. */
export type Fan = { readonly points: readonly FanPoint[]; readonly densityKilogramsPerCubicMeter: number };

/** Where the fan works, and how much of its free delivery that is. */
export type OperatingPoint = FanPoint & { readonly shareOfFreeDelivery: number };

// Data sheets of small fans are taken in air of this density (AMCA 210 standard air).
const CATALOGUE_DENSITY = 1.2;

/**
 * A fan of which only free delivery and shut-off pressure are known: a straight line between them. Small axial fans sag
 * below it in the middle and stall there; the line is the usual first guess.
 */
export function straightFan(freeCubicMetersPerSecond: number, shutOffPascals: number): Fan {
  within("free delivery in m3/s", freeCubicMetersPerSecond, 1e-6, 1e3);
  within("shut-off pressure in Pa", shutOffPascals, 1e-3, 1e5);
  return fan([
    { airflowCubicMetersPerSecond: 0, pressurePascals: shutOffPascals },
    { airflowCubicMetersPerSecond: freeCubicMetersPerSecond, pressurePascals: 0 },
  ]);
}

/** A fan from the points of its data sheet: airflow ascending from 0, pressure above 0 (the last point may be at 0). */
export function fan(points: readonly FanPoint[], densityKilogramsPerCubicMeter = CATALOGUE_DENSITY): Fan {
  within("points of the fan curve", points.length, 2, 1000);
  within("air density in kg/m3", densityKilogramsPerCubicMeter, 0.2, 2);
  const last = points.length - 1;
  for (const [index, point] of points.entries()) {
    const floor = index === 0 ? 0 : points[index - 1]!.airflowCubicMetersPerSecond * (1 + 1e-9) + 1e-12;
    within("airflow of the fan curve in m3/s", point.airflowCubicMetersPerSecond, floor, index === 0 ? 0 : 1e3);
    within("pressure of the fan curve in Pa", point.pressurePascals, index === last ? 0 : 1e-6, 1e5);
  }
  return { points, densityKilogramsPerCubicMeter };
}

/**
 * The same fan at another speed and in other air: V̇ ∝ N, Δp ∝ N²·ρ, power ∝ N³·ρ (affinity laws; AMCA 201, ASHRAE
 * HVAC Systems and Equipment). `speedRatio` above 0.
 */
export function fanAt(base: Fan, speedRatio: number, densityKilogramsPerCubicMeter: number): Fan {
  within("speed ratio", speedRatio, 1e-3, 10);
  const pressureRatio = (speedRatio * speedRatio * densityKilogramsPerCubicMeter) / base.densityKilogramsPerCubicMeter;
  return {
    densityKilogramsPerCubicMeter,
    points: base.points.map((point) => ({
      airflowCubicMetersPerSecond: point.airflowCubicMetersPerSecond * speedRatio,
      pressurePascals: point.pressurePascals * pressureRatio,
    })),
  };
}

/**
 * The crossing of the fan curve with a resistance Δp = k·V̇², k in Pa/(m³/s)². On a curve that sags, the crossing with
 * the least flow is taken: a fan that starts against closed air stays there.
 */
export function operatingPoint(at: Fan, resistance: number): OperatingPoint {
  within("resistance of the vents in Pa/(m3/s)2", resistance, 0, 1e15);
  const free = at.points[at.points.length - 1]!.airflowCubicMetersPerSecond;
  for (let index = 1; index < at.points.length; index += 1) {
    const low = at.points[index - 1]!;
    const high = at.points[index]!;
    if (high.pressurePascals > resistance * high.airflowCubicMetersPerSecond ** 2) continue;
    const flow = crossing(low, high, resistance);
    return {
      airflowCubicMetersPerSecond: flow,
      pressurePascals: resistance * flow * flow,
      shareOfFreeDelivery: flow / free,
    };
  }
  return { airflowCubicMetersPerSecond: free, pressurePascals: 0, shareOfFreeDelivery: 1 };
}

/** Flow at which the straight piece from `low` to `high` meets k·V̇². */
function crossing(low: FanPoint, high: FanPoint, resistance: number): number {
  const width = high.airflowCubicMetersPerSecond - low.airflowCubicMetersPerSecond;
  const slope = (high.pressurePascals - low.pressurePascals) / width;
  const base = low.pressurePascals - slope * low.airflowCubicMetersPerSecond;
  if (resistance === 0) return slope === 0 ? high.airflowCubicMetersPerSecond : -base / slope;
  // k·V² − slope·V − base = 0; the form without cancellation, since slope is usually below 0.
  const root = Math.sqrt(slope * slope + 4 * resistance * base);
  const flow = slope < 0 ? (2 * base) / (root - slope) : (slope + root) / (2 * resistance);
  return Math.min(Math.max(flow, low.airflowCubicMetersPerSecond), high.airflowCubicMetersPerSecond);
}
