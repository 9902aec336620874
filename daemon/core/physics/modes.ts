// Modes as the trade writes them, and the share of the peak power that each keeps up while an over lasts.
// It never knows how long an operator listens: that is the over's duty, another number.

/** One mode: average power divided by peak envelope power while it is used without pauses beyond its own. */
export type Mode = {
  readonly name: string;
  readonly duty: number;
  /** Seconds it sends at a stretch before its own pause; 0 when it varies too fast for a core to follow. */
  readonly onSeconds: number;
  readonly note: string;
};

/**
 * Duty factors. FCC OET Bulletin 65 Supplement B (97-01), table 2 (as quoted in public station-evaluation sheets): SSB
 * 20 %, with heavy processing 50 %, CW 40 %, FM and FSK 100 %. The cautious end of common practice (no source) is taken
 * where the two differ: CW 50 %. AM counts as its carrier at full time. FT8 sends 15 s, then listens 15 s.
 */
export const MODES: readonly Mode[] = [
  { name: "SSB", duty: 0.2, onSeconds: 0, note: "conversation, no processing" },
  { name: "SSB processed", duty: 0.5, onSeconds: 0, note: "heavy speech processing" },
  { name: "CW", duty: 0.5, onSeconds: 0, note: "keyed text" },
  { name: "FT8", duty: 0.5, onSeconds: 15, note: "every other 15 s" },
  { name: "RTTY", duty: 1, onSeconds: 0, note: "carrier throughout" },
  { name: "AM", duty: 1, onSeconds: 0, note: "rated by its carrier" },
  { name: "FM", duty: 1, onSeconds: 0, note: "carrier throughout" },
];

/** The mode called `name`, whatever its case. */
export function modeNamed(name: string): Mode | undefined {
  const plain = name.trim().toLowerCase();
  return MODES.find((mode) => mode.name.toLowerCase() === plain);
}
