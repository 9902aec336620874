// A second try for parts that gave no answer in time when they were opened: a slow board that has just loaded a program is busy, and
// the daemon would ask again a second later. It opens nothing anew.

import { pause } from "../../hardware/clock.ts";
import { fromErrno } from "../../hardware/errno.ts";
import type { HardwareErrorCode } from "../../hardware/errors.ts";
import type { OpenResult } from "../../hardware/open.ts";
import type { Part } from "../../hardware/ports.ts";

/** What a busy board makes of a part that is well. */
const PASSING: ReadonlySet<HardwareErrorCode> = new Set(["TIMEOUT", "BUS_STUCK"]);

/** A transfer that hangs has ended by then, and a bus that counted silence may be asked again, s. */
const WAIT_SECONDS = 0.6;

/** The same feedpoint with what the second try has found: identities where there were faults, or the newer faults. */
export async function secondTry(opened: OpenResult): Promise<OpenResult> {
  const { hardware } = opened;
  const parts: readonly (Part<unknown> | null)[] = [...hardware.temperatures, hardware.supply, hardware.drive];
  const again = opened.faults.flatMap((fault) => {
    const part = parts.find((one) => one?.name === fault.name);
    return PASSING.has(fault.code) && part != null ? [{ fault, part }] : [];
  });
  if (again.length === 0) return opened;
  const faults = new Map(opened.faults.map((fault) => [fault.name, fault]));
  const identities = [...opened.identities];
  await pause(hardware.clock, WAIT_SECONDS);
  for (const { fault, part } of again) {
    try {
      identities.push({ name: part.name, place: part.place, identity: await part.identify() });
      faults.delete(part.name);
    } catch (cause) {
      const { place, code, message, words, remedy } = fromErrno(cause, part.place, "i2c");
      // A bus on which nobody answers asks one address at a time; what was said first says more.
      if (code !== "BUS_STUCK") faults.set(part.name, { ...fault, place, code, message, words, remedy });
    }
  }
  return { ...opened, identities, faults: [...faults.values()] };
}
