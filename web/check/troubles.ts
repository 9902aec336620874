// What needs a look, by name, worst first: a pure choice among what the daemon tells. It repairs nothing.

import type { Check } from "../../daemon/wire/check.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { strings } from "../strings.ts";

const words = strings.check;
/** Failed readings per cycle from which a part is named. */
const NAMED_RATIO = 0.01;
/** A single failure before so many cycles tells nothing: chips that are not ready yet at the start are no trouble. */
const LEAST_SWEEPS = 200;
/** Before that, a part is named only when it failed in this share of at least so many cycles. */
const EARLY_RATIO = 0.5;
const EARLY_SWEEPS = 5;
/** Verdicts on the fan that are not the hardware's trouble. */
const FAN_WELL: ReadonlySet<string> = new Set(["turning", "starting", "off on purpose", "unknown"]);

/** Whether so many failures in so many cycles are worth a name. */
function isNamed(failed: number, sweeps: number): boolean {
  if (sweeps >= LEAST_SWEEPS) return failed / sweeps > NAMED_RATIO;
  return sweeps >= EARLY_SWEEPS && failed / sweeps > EARLY_RATIO;
}

/** Failures while receiving and while transmitting, per 1000 cycles; null where there was no such cycle. */
export function perThousand(errors: number, sweeps: number): number | null {
  return sweeps === 0 ? null : (errors / sweeps) * 1000;
}

/** Names of parts, buses, relay and fan; empty when all is well. */
export function troubles(check: Check, frame: Frame): readonly string[] {
  const found: string[] = [];
  const { relay_permit: wanted, relay_readback: read } = frame;
  if (read !== null && (read.reduce !== wanted.reduce || read.inhibit !== wanted.inhibit)) found.push("relay");
  for (const bus of check.hardware?.buses ?? []) if (bus.stuck) found.push(bus.bus);
  const { hardware } = check;
  if (hardware !== null) {
    const sweeps = hardware.sweeps.receiving + hardware.sweeps.transmitting;
    for (const { name, role, errors } of hardware.parts) {
      // A fan that stands still gives no pulses: that is the fan's trouble, named below, and not another one of its tachometer.
      if (role === "fan" && !FAN_WELL.has(frame.fan)) continue;
      const failed = errors.reduce((sum, count) => sum + count.receiving + count.transmitting, 0);
      if (isNamed(failed, sweeps)) found.push(name);
    }
  }
  if (!FAN_WELL.has(frame.fan)) found.push(words.fanTrouble(strings.drawing.fanVerdict(frame.fan)));
  const { due_wall_seconds: due } = frame.proof_test;
  if (due !== null && frame.wall_trusted && due < frame.wall_seconds) found.push(words.proofDue);
  if (check.rig !== null && check.rig.trouble !== null) found.push(words.rigTrouble);
  for (const { name, failures } of check.notices) if (failures > 0) found.push(words.noticesTo(name));
  if (check.mqtt !== null && !check.mqtt.connected) found.push(words.broker);
  if (!check.log.writable) found.push(words.log);
  if (!check.wall_trusted) found.push(words.clock);
  return [...new Set(found)];
}
