// All that is known of the drive, from whoever speaks: the detector at the coax, the rig's own meter times the measured factor, the PTT
// line, the rig's word. Ranked; the first with a value is used, and how far they disagree is measured. It judges nothing.

import type { DriveEvidence, DriveSource } from "../core/drive-evidence.ts";
import type { DriveReading, Reading } from "../core/readings.ts";
import { type DetectorScale, type DetectorVolts, driveWatts, standingWaveRatio } from "./detector.ts";
import type { RigReading } from "./rig.ts";

/** What one part said: a sample, or the code of its failure. */
export type Spoken<Sample> =
  | { readonly sample: Sample; readonly code: null }
  | { readonly sample: null; readonly code: string };

export type DriveSettings = {
  readonly scale: DetectorScale;
  /** Power from which the transmitter counts as keyed. */
  readonly keyedWatts: number;
  /** Watts at the feedpoint per watt of the rig's meter, as measured; null = the meter is not used for the drive there. */
  readonly factorAt: (frequencyHertz: number | null) => number | null;
};

/** What was heard in one sweep; null = not fitted. */
export type DriveHeard = {
  readonly detector: Spoken<DetectorVolts> | null;
  readonly pttLine: Spoken<{ readonly keyed: boolean }> | null;
  readonly rig: RigReading;
};

/** Seconds over which two powers are averaged before they are compared: keying is faster than any two of them agree on. */
const MEAN_SECONDS = 30;
/** Below this share of a full second's keying there is too little to compare, W. */
const LEAST_MEAN_WATTS = 5;

const bad = (code: string): Reading => ({ value: null, quality: "bad", code });

function detectorSource(heard: Spoken<DetectorVolts>, { scale, keyedWatts }: DriveSettings): DriveSource {
  const watts = heard.code === null ? driveWatts(scale, heard.sample) : bad(heard.code);
  return { name: "detector", watts, transmitting: watts.value === null ? null : watts.value >= keyedWatts };
}

/** Indirect: what the rig's own meter shows, times what somebody once measured. Null where either is missing. */
function meterSource({ meterWatts, frequencyHertz }: RigReading, { factorAt }: DriveSettings): DriveSource | null {
  const factor = factorAt(frequencyHertz);
  if (meterWatts === null || factor === null) return null;
  const watts: Reading = { value: meterWatts * factor, quality: "suspect", code: "INDIRECT" };
  return { name: "rig meter", watts, transmitting: null };
}

/** Everybody who is there, best first. */
function sourcesOf({ detector, pttLine, rig }: DriveHeard, settings: DriveSettings): readonly DriveSource[] {
  const meter = meterSource(rig, settings);
  return [
    ...(detector === null ? [] : [detectorSource(detector, settings)]),
    ...(meter === null ? [] : [meter]),
    ...(pttLine === null
      ? []
      : [{ name: "PTT line", watts: null, transmitting: pttLine.sample?.keyed ?? null } as const]),
    ...(rig.transmitting === null ? [] : [{ name: "rig", watts: null, transmitting: rig.transmitting } as const]),
  ];
}

/** The drive as believed: power from the first source that has one, keying likewise. Null = nobody says anything. */
function rankedDrive({ detector, rig }: DriveHeard, sources: readonly DriveSource[]): DriveReading | null {
  const { frequencyHertz, mode } = rig;
  const watts = sources.find((source) => source.watts !== null && source.watts.value !== null)?.watts ?? null;
  const transmitting = sources.find((source) => source.transmitting !== null)?.transmitting ?? null;
  // A detector that is fitted and fails says why; where nothing is fitted nothing has failed.
  const none = sources.find(({ name }) => name === "detector")?.watts ?? bad("NOT_FITTED");
  if (watts === null && detector === null && frequencyHertz === null && transmitting === null) return null;
  return { watts: watts ?? none, frequencyHertz, mode, transmitting };
}

/** Do two of them contradict each other about the key? A silent detector contradicts nobody: SSB has pauses. */
function contradict(sources: readonly DriveSource[]): boolean {
  const said = sources.filter(({ name, transmitting }) =>
    name === "detector" ? transmitting === true : transmitting !== null,
  );
  return said.some(({ transmitting }) => transmitting !== said[0]?.transmitting);
}

/** Remembers what the sources said lately, to tell how far apart they are. */
export class DriveWitnesses {
  readonly #settings: DriveSettings;
  #means: readonly [number, number] | null = null;
  #atSeconds: number | null = null;
  #contradictedSince: number | null = null;

  constructor(settings: DriveSettings) {
    this.#settings = settings;
  }

  /** Everything of one sweep. `nowSeconds`: monotonic, of the readings. */
  hear(
    heard: DriveHeard,
    nowSeconds: number,
  ): { readonly drive: DriveReading | null; readonly evidence: DriveEvidence } {
    const sources = sourcesOf(heard, this.#settings);
    const { scale, keyedWatts } = this.#settings;
    const sample = heard.detector?.sample ?? null;
    const measured = sample === null ? null : standingWaveRatio(scale, sample, keyedWatts);
    return {
      drive: rankedDrive(heard, sources),
      evidence: {
        sources,
        powerRatio: this.#compare(sources, nowSeconds),
        keyingSeconds: this.#contradicted(sources, nowSeconds),
        swr: measured ?? heard.rig.swr,
      },
    };
  }

  #compare(sources: readonly DriveSource[], nowSeconds: number): number | null {
    const [one, other] = sources.flatMap(({ watts }) => (watts === null || watts.value === null ? [] : [watts.value]));
    const elapsed = this.#atSeconds === null ? 0 : Math.max(0, nowSeconds - this.#atSeconds);
    this.#atSeconds = nowSeconds;
    if (one === undefined || other === undefined) {
      this.#means = null;
      return null;
    }
    const share = 1 - Math.exp(-elapsed / MEAN_SECONDS);
    const [meanOne, meanOther] = this.#means ?? [0, 0];
    const means = [meanOne + share * (one - meanOne), meanOther + share * (other - meanOther)] as const;
    this.#means = means;
    const [smaller, larger] = [Math.min(...means), Math.max(...means)];
    if (larger < LEAST_MEAN_WATTS) return null;
    return Math.min(larger / Math.max(smaller, 1e-3), MOST_RATIO);
  }

  #contradicted(sources: readonly DriveSource[], nowSeconds: number): number {
    this.#contradictedSince = contradict(sources) ? (this.#contradictedSince ?? nowSeconds) : null;
    return this.#contradictedSince === null ? 0 : Math.max(0, nowSeconds - this.#contradictedSince);
  }
}

/** One source shows power and the other none. */
const MOST_RATIO = 99;
