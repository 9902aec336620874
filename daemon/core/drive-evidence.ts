// Who speaks of the drive and how far they agree, as the core sees it beside the drive that is believed. Plain data.

import type { Reading } from "./readings.ts";

/** Who can speak of the drive, best first: what measures at the feedpoint's coax, then the rig's own word, then a mere contact. */
export type DriveSourceName = "detector" | "rig meter" | "PTT line" | "rig";

/** What one source says; null = it says nothing of that. */
export type DriveSource = {
  readonly name: DriveSourceName;
  readonly watts: Reading | null;
  readonly transmitting: boolean | null;
};

/** All sources that are configured, best first, and how they agree. The drive is what the first with a value says. */
export type DriveEvidence = {
  readonly sources: readonly DriveSource[];
  /** Mean power by one source over that by the other, the larger over the smaller; null = fewer than two tell, or little is sent. */
  readonly powerRatio: number | null;
  /** For so long two sources have said the opposite of each other about the key, s. */
  readonly keyingSeconds: number;
  /** Standing wave ratio by detector or rig; null = not known, or nothing is sent. */
  readonly swr: number | null;
};

/** A feedpoint to which nothing tells of its drive. */
export const NO_DRIVE_EVIDENCE: DriveEvidence = { sources: [], powerRatio: null, keyingSeconds: 0, swr: null };
