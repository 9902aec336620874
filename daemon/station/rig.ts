// What the shack's transmitter says of itself, with the age of it: frequency, mode, keyed or not. Types and the fixed answer
// of a station that is not linked. It talks to no transmitter.

/** Null where the transmitter does not say. */
export type RigReading = {
  readonly frequencyHertz: number | null;
  readonly mode: string | null;
  readonly transmitting: boolean | null;
  /** Seconds since it was said; null when nothing is linked. */
  readonly ageSeconds: number | null;
};

/** Asked once a cycle; answers at once from what was heard last. */
export type Rig = () => RigReading;

/** A station without a link: one frequency and mode set by the operator, or nothing known. */
export function fixedRig(frequencyHertz: number | null, mode: string | null): Rig {
  const reading: RigReading = { frequencyHertz, mode, transmitting: null, ageSeconds: null };
  return () => reading;
}
