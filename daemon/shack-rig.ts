// The shack's rig on the service thread, put together: the link that asks it, the power that is lowered and put back, and the file that
// remembers it. It is loaded only where a rig is configured; it decides nothing.

import type { Clock } from "../hardware/ports.ts";
import type { RigSpec } from "./config/rig.ts";
import type { PowerStage } from "./core/effects.ts";
import type { ToHeartbeat } from "./crossing/messages.ts";
import { rigMemory } from "./rig-memory.ts";
import { RigLink } from "./station/rigctl/link.ts";
import { RigPower } from "./station/rigctl/rig-power.ts";
import type { RigHealth } from "./wire/check.ts";

export type ShackRigOptions = RigSpec & {
  readonly memoryFile: string;
  readonly clock: Clock;
  /** To the heartbeat. */
  readonly say: (message: ToHeartbeat) => void;
};

export type ShackRig = {
  /** The stage of a cycle whose permit lines have been told first. */
  hear(stage: PowerStage): void;
  health(): RigHealth;
  close(): Promise<void>;
};

/** Begins to ask at once; a server that does not answer is no error. */
export function openShackRig({ server, fullWatts, reduceToRatio, memoryFile, clock, say }: ShackRigOptions): ShackRig {
  const power =
    reduceToRatio === null
      ? null
      : new RigPower({
          reduceToRatio,
          memory: rigMemory(memoryFile, server),
          note: (tag, text) => say({ kind: "note", tag, text, by: null }),
        });
  let powerRatio: number | null = null;
  const link = new RigLink({
    server,
    fullWatts,
    clock,
    onWord: (word) => {
      powerRatio = word.powerRatio;
      say({ kind: "rig", word });
    },
    ...(power === null ? {} : { afterRound: (session, word) => power.attend(session, word) }),
  });
  return {
    hear: (stage) => power?.hear(stage, clock.monotonicSeconds()),
    health: () => ({
      trouble: link.trouble,
      power_ratio: link.trouble === null ? powerRatio : null,
      found_ratio: power?.held?.foundRatio ?? null,
    }),
    close: () => link.close(),
  };
}
