// What needs a look, by name, worst first: a pure choice among what the daemon tells. It repairs nothing.

import type { Check } from "../../daemon/wire/check.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { strings } from "../strings.ts";

const words = strings.check;
/** Failed readings per cycle from which a part is named. */
const NAMED_RATIO = 0.01;

/** Failures while receiving and while transmitting, per 1000 cycles; null where there was no such cycle. */
export function perThousand(errors: number, sweeps: number): number | null {
  return sweeps === 0 ? null : (errors / sweeps) * 1000;
}

export function troubles(check: Check, frame: Frame): readonly string[] {
  const found: string[] = [];
  const { relay_permit: wanted, relay_readback: read } = frame;
  if (read !== null && (read.reduce !== wanted.reduce || read.inhibit !== wanted.inhibit)) found.push("relay");
  for (const bus of check.hardware?.buses ?? []) if (bus.stuck) found.push(bus.bus);
  const { hardware } = check;
  if (hardware !== null) {
    const sweeps = hardware.sweeps.receiving + hardware.sweeps.transmitting;
    for (const { name, errors } of hardware.parts) {
      const failed = errors.reduce((sum, count) => sum + count.receiving + count.transmitting, 0);
      if (sweeps > 0 && failed / sweeps > NAMED_RATIO) found.push(name);
    }
  }
  const { due_wall_seconds: due } = frame.proof_test;
  if (due !== null && frame.wall_trusted && due < frame.wall_seconds) found.push(words.proofDue);
  if (!check.log.writable) found.push(words.log);
  if (!check.wall_trusted) found.push(words.clock);
  return [...new Set(found)];
}
