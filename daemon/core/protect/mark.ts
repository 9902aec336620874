// What learned figures are relative to, as a short text: so that those of another transformer or another fan are told apart.
// A comparison only; nobody can work back from a mark.

import type { Model } from "../estimate/model.ts";
import type { FanSettings } from "./settings.ts";

/** Of everything in the model that κ and φ stand in relation to. */
export function modelMark({ constants, bands, nominalRpm, collapse }: Model): string {
  return fnv1a(JSON.stringify({ constants, bands, nominalRpm, collapse }));
}

/** Of what the learned speed is a share of; empty without a fan. */
export function fanMark(fan: FanSettings | null): string {
  return fan === null ? "" : `${fan.nominalRpm} rpm at ${fan.nominalVolts} V`;
}

/** FNV-1a, 32 bits, over UTF-16 code units (Fowler, Noll, Vo; offset basis and prime as in the IETF draft, from memory). */
function fnv1a(text: string): string {
  let hash = 0x811c9dc5;
  for (let index = 0; index < text.length; index += 1) {
    hash = Math.imul(hash ^ text.charCodeAt(index), 0x01000193) >>> 0;
  }
  return hash.toString(16).padStart(8, "0");
}
