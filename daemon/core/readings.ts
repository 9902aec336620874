// What one cycle read, as the core sees it: plain numbers with a quality. It never says what to do about them.

import type { DriveEvidence } from "./drive-evidence.ts";

/** `good` is used, `suspect` is used with a wider uncertainty, `bad` is not used and has no value. */
export type Quality = "good" | "suspect" | "bad";

/** One measured quantity; `value` is null exactly when `quality` is `bad`; `code` says why it is not good. */
export type Reading =
  | { readonly value: number; readonly quality: "good"; readonly code: null }
  | { readonly value: number; readonly quality: "suspect"; readonly code: string }
  | { readonly value: null; readonly quality: "bad"; readonly code: string };

/** Fan tachometer; fields as in the hardware's sample. */
export type FanReading = {
  readonly rpm: Reading;
  readonly regularity: number | null;
  readonly rejectedEdges: number;
  readonly lostEdges: number | null;
  readonly secondsSinceEdge: number | null;
};

/** What is known of the transmission; `watts` averages the last second at the feedpoint's primary. */
export type DriveReading = {
  readonly watts: Reading;
  readonly frequencyHertz: number | null;
  readonly mode: string | null;
  readonly transmitting: boolean | null;
};

/** Read-back of the permit lines: true = energised, null = could not be read. */
export type RelayReading = { readonly reduce: boolean | null; readonly inhibit: boolean | null };

/** How the machine around the core is doing. */
export type UpkeepReading = {
  /** How late this cycle began, s. */
  readonly cycleLateSeconds: number;
  /** Seconds since the service thread last answered. */
  readonly serviceSilentSeconds: number;
  readonly logWritable: boolean;
  readonly diskFreeRatio: number | null;
  readonly busStuck: boolean;
  readonly wallTrusted: boolean;
  /** Unix seconds of the wall clock; null when the caller has none, as in a recording. */
  readonly wallSeconds: number | null;
  /** Memory the program holds; null when not known. */
  readonly residentBytes: number | null;
  readonly rigLinkAgeSeconds: number | null;
  /** Failed sensor reads since start, counted apart by whether the transmitter was keyed. */
  readonly sensorErrorsTransmitting: number;
  readonly sensorErrorsReceiving: number;
};

/** Everything one cycle read. A part that is not fitted is null; a part that failed is a `bad` reading. */
export type Readings = {
  readonly inlet: Reading | null;
  readonly outlet: Reading | null;
  readonly wall: Reading | null;
  readonly ambient: Reading | null;
  /** A probe on the ferrite, or an operator's spot reading in this very second. */
  readonly core: Reading | null;
  readonly humidityRatio: Reading | null;
  readonly fan: FanReading | null;
  readonly supplyVolts: Reading | null;
  readonly supplyAmperes: Reading | null;
  readonly drive: DriveReading | null;
  readonly driveEvidence: DriveEvidence;
  readonly relay: RelayReading | null;
  readonly upkeep: UpkeepReading;
};

export const good = (value: number): Reading => ({ value, quality: "good", code: null });
export const suspect = (value: number, code: string): Reading => ({ value, quality: "suspect", code });
export const bad = (code: string): Reading => ({ value: null, quality: "bad", code });
