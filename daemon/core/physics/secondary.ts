// Radio-frequency voltages where people and insulation meet them: across the secondary and at the wire's far end.
// It never says that a distance or an insulation is safe.
import { type Load, MATCHED, voltsSquaredPerWatt } from "./load.ts";
import { within } from "./physics-error.ts";

/** Stands beside every figure of this file, wherever it is shown. */
export const VOLTAGE_CAUTION =
  "Kilovolts of RF while transmitting: a touch burns deeply and at once, an arc can start a fire. Nobody and nothing " +
  "that burns within reach of the transformer, the secondary or either end of the wire; transmitter off and locked out " +
  "before touching. Local codes and a licensed practitioner decide, not this figure.";

/** RF voltages at one drive. `peak` is the crest of the sine during the strongest part of the transmission. */
export type SecondaryVoltage = {
  readonly primaryVolts: number;
  readonly secondaryVolts: number;
  readonly secondaryPeakVolts: number;
  /** Resistance the wire must present for the primary to see the line, Ω: R·(N_s/N_p)². */
  readonly secondaryOhms: number;
};

/**
 * Voltages at the secondary, V rms and peak, at the high bound of the load: V_p·N_s/N_p. `peakWatts` is peak envelope
 * power (an SSB peak insulates no better than a carrier). Throws `OUT_OF_RANGE`.
 */
export function secondaryVoltage(
  primaryTurns: number,
  secondaryTurns: number,
  peakWatts: number,
  load: Load = MATCHED,
): SecondaryVoltage {
  const ratio = within("secondary turns", secondaryTurns, 1, 10_000) / within("primary turns", primaryTurns, 1, 1000);
  const resistance = voltsSquaredPerWatt(load);
  const primaryVolts = Math.sqrt(within("drive in watts", peakWatts, 0, 1e6) * resistance.high);
  return {
    primaryVolts,
    secondaryVolts: primaryVolts * ratio,
    secondaryPeakVolts: Math.SQRT2 * primaryVolts * ratio,
    secondaryOhms: resistance.nominal * ratio * ratio,
  };
}

// Radiation resistance of a thin half-wave wire at its current maximum in free space, Ω (antenna textbooks, e.g.
// Balanis, from memory). Near ground it lies between about 50 and 100 Ω; a smaller one means more current and volts.
const HALF_WAVE_OHMS = 73;

/**
 * Voltage at the far, open end of a resonant half-wave wire, V rms: the current maximum √(P/73 Ω) times the wire's mean
 * wave impedance 60·(ln(2ℓ/a) − 1) Ω, ℓ its length and a its radius (Schelkunoff's average characteristic impedance
 * for one side, from memory). Good to about a third; the end may lie higher on harmonics or near metal.
 */
export function wireEndVolts(peakWatts: number, wireMeters: number, wireDiameterMeters: number): number {
  within("drive in watts", peakWatts, 0, 1e6);
  within("wire diameter in m", wireDiameterMeters, 1e-5, 0.1);
  within("wire length in m", wireMeters, 20 * wireDiameterMeters, 10_000);
  const waveOhms = 60 * (Math.log((4 * wireMeters) / wireDiameterMeters) - 1);
  return Math.sqrt(peakWatts / HALF_WAVE_OHMS) * waveOhms;
}

/**
 * Length a half-wave wire is cut to, m: 468/f(MHz) feet (common practice, no source), about 5 % short of the free-space
 * half wave because of the ends.
 */
export function cutWireMeters(frequencyHertz: number): number {
  return ((468 * 1e6) / within("frequency in Hz", frequencyHertz, 1, 1e12)) * 0.3048;
}
