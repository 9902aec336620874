// What the primary sees: how many square volts stand on it for each watt of drive.
// It never says where a mismatch comes from.
import { type Complex, squaredMagnitude } from "./complex.ts";
import { within } from "./physics-error.ts";

/** Reference resistance of the coax, Ω. */
export const LINE_OHMS = 50;

/**
 * The load at the primary: matched to the line, a known impedance (Ω), or only a standing-wave ratio. The impedance is
 * the whole of what the coax sees, transformer included.
 */
export type Load =
  | { readonly kind: "matched"; readonly lineOhms: number }
  | { readonly kind: "impedance"; readonly ohms: Complex }
  | { readonly kind: "swr"; readonly ratio: number; readonly lineOhms: number };

/** The load this program assumes when nobody says otherwise. */
export const MATCHED: Load = { kind: "matched", lineOhms: LINE_OHMS };

/** V²/P at the primary in Ω: what is most likely, and between which bounds it lies. All equal for a known load. */
export type VoltsSquaredPerWatt = { readonly low: number; readonly nominal: number; readonly high: number };

/**
 * V²/P of a load: R matched; |Z|²/Re Z for a known impedance. A standing-wave ratio S alone leaves it anywhere between
 * R/S (current maximum at the transformer) and R·S (voltage maximum). Throws `OUT_OF_RANGE`.
 */
export function voltsSquaredPerWatt(load: Load): VoltsSquaredPerWatt {
  switch (load.kind) {
    case "matched": {
      const ohms = within("line resistance in ohms", load.lineOhms, 1, 1000);
      return { low: ohms, nominal: ohms, high: ohms };
    }
    case "impedance": {
      within("load resistance in ohms", load.ohms.real, 1e-3, 1e6);
      within("load reactance in ohms", load.ohms.imaginary, -1e6, 1e6);
      const ohms = squaredMagnitude(load.ohms) / load.ohms.real;
      return { low: ohms, nominal: ohms, high: ohms };
    }
    case "swr": {
      const ohms = within("line resistance in ohms", load.lineOhms, 1, 1000);
      const ratio = within("standing-wave ratio", load.ratio, 1, 100);
      return { low: ohms / ratio, nominal: ohms, high: ohms * ratio };
    }
  }
}
