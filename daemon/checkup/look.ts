// One look at one part: what it said it is, and one reading in words. What could not be opened is told as its opening told it.

import { pause } from "../../hardware/clock.ts";
import { HardwareError } from "../../hardware/errors.ts";
import type { OpenResult } from "../../hardware/open.ts";
import type { Clock, Part } from "../../hardware/ports.ts";
import { type Finding, troubled, wellDone } from "./finding.ts";

/** A part's name and identity with `words` about its reading, or why there is none. */
export type Look = <Sample>(part: Part<Sample>, words: (sample: Sample) => string) => Promise<Finding>;

/** Looks at the parts of one opened feedpoint. */
export function lookAt({ hardware, identities, faults }: OpenResult): Look {
  return async (part, words) => {
    const { name, place } = part;
    const fault = faults.find((one) => one.name === name);
    if (fault !== undefined) return troubled(name, place, fault);
    try {
      const said = identities.find((identity) => identity.name === name)?.identity ?? part.part;
      return wellDone(name, place, `${said}: ${words(await readOnceReady(part, hardware.clock))}`);
    } catch (error) {
      return badPart(name, place, error);
    }
  };
}

/** A chip that has just been powered, or woken by being identified, has nothing to say before its first conversion. */
const CONVERSION_SECONDS = 0.4;
const CONVERSION_TRIES = 5;

/** @throws what the last reading says */
export async function readOnceReady<Sample>(part: Part<Sample>, clock: Clock): Promise<Sample> {
  for (let tries = 1; ; tries += 1) {
    try {
      return await part.read();
    } catch (error) {
      const early = error instanceof HardwareError && error.code === "NOT_READY";
      if (!early || tries >= CONVERSION_TRIES) throw error;
      await pause(clock, CONVERSION_SECONDS);
    }
  }
}

/** What an error says of a part, with what to do. */
export function badPart(what: string, place: string, error: unknown): Finding {
  if (error instanceof HardwareError) return troubled(what, place, error);
  const says = error instanceof Error ? error.message : String(error);
  return { what, place, verdict: "bad", says, remedy: "Read the kernel's messages (`dmesg`) for the device." };
}
