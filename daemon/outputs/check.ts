// The newest cycle, the hardware's health and the log's progress as one answer for the view Check. It judges nothing.

import type { Beat, LogProgress } from "../crossing/messages.ts";
import type { Check, HardwareHealth } from "../wire/check.ts";
import type { ChannelHealth } from "./notices/courier.ts";

export type CheckSource = {
  readonly version: string;
  /** The newest; null before the first. */
  readonly beat: Beat | null;
  readonly health: HardwareHealth | null;
  readonly log: LogProgress;
  readonly notices: readonly ChannelHealth[];
  /** Of the clock that the notices go by. */
  readonly nowSeconds: number;
};

/** Plain data without addresses, names or paths of the machine. */
export function checkOf({ version, beat, health, log, notices, nowSeconds }: CheckSource): Check {
  const readings = beat?.outlook.readings;
  const fan = readings?.fan ?? null;
  return {
    version,
    node: process.versions.node,
    hardware: health,
    tach: fan === null ? null : { rpm: fan.rpm.value, regularity: fan.regularity, rejected_edges: fan.rejectedEdges },
    cycle_seconds: beat?.cycleSeconds ?? null,
    cycle_late_seconds: readings?.upkeep.cycleLateSeconds ?? null,
    wall_trusted: beat?.wallTrusted ?? false,
    rig_link_age_seconds: readings?.upkeep.rigLinkAgeSeconds ?? null,
    notices: notices.map(({ name, waiting, failures, lastDeliveredAtSeconds: at }) => {
      return { name, waiting, failures, delivered_seconds_ago: at === null ? null : Math.round(nowSeconds - at) };
    }),
    log: {
      writable: log.writable,
      trouble: log.trouble === null ? null : "the log takes nothing",
      disk_free_ratio: log.diskFreeRatio,
    },
  };
}
