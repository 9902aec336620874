// Does the shack's rig answer? One connection, every question once, nothing set.

import type { Clock } from "../../hardware/ports.ts";
import type { RigSpec } from "../config/rig.ts";
import { type Finding, wellDone } from "./finding.ts";

const REMEDY =
  "Start rigctld beside the rig (rigctld -T 127.0.0.1 -m MODEL -r DEVICE), and compare [rig] host and port; without it band and mode are not known.";

/** One finding; none where no rig is configured. */
export async function checkRig(spec: RigSpec | null, clock: Clock): Promise<readonly Finding[]> {
  if (spec === null) return [];
  const { Session } = await import("../station/rigctl/session.ts");
  const place = `${spec.server.host}:${spec.server.port}`;
  try {
    const session = await Session.open(spec.server, spec.fullWatts, clock);
    try {
      const { frequencyHertz, mode, transmitting, powerRatio } = await session.round();
      const said = [
        frequencyHertz === null ? "no frequency" : `${(frequencyHertz / 1e6).toFixed(4)} MHz`,
        mode ?? "no mode",
        transmitting === null ? "no word of keying" : transmitting ? "keyed" : "not keyed",
        powerRatio === null ? "no power setting" : `power set to ${(100 * powerRatio).toFixed(0)} %`,
      ].join(", ");
      if (powerRatio !== null || spec.reduceToRatio === null) return [wellDone("rig", place, said)];
      const remedy =
        "This rig's power cannot be lowered over the link: leave out rig.reduce_to; the permit lines do it alone.";
      return [{ what: "rig", place, verdict: "warning", says: said, remedy }];
    } finally {
      session.close();
    }
  } catch (error) {
    const says = error instanceof Error ? error.message : String(error);
    return [{ what: "rig", place, verdict: "bad", says, remedy: REMEDY }];
  }
}
