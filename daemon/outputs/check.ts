// The newest cycle, the hardware's health and the log's progress as one answer for the view Check. It judges nothing.

import type { Beat, LogProgress } from "../crossing/messages.ts";
import type { Check, HardwareHealth, RigHealth } from "../wire/check.ts";
import type { OutletHealth } from "./mqtt/outlet.ts";
import type { ChannelHealth } from "./notices/courier.ts";

export type CheckSource = {
  readonly version: string;
  /** The newest; null before the first. */
  readonly beat: Beat | null;
  readonly health: HardwareHealth | null;
  readonly log: LogProgress;
  readonly notices: readonly ChannelHealth[];
  readonly rig: RigHealth | null;
  /** Null where no broker is told. */
  readonly mqtt: OutletHealth | null;
  /** Of the clock that the notices go by. */
  readonly nowSeconds: number;
};

/** Plain data without addresses, names or paths of the machine. */
export function checkOf({ version, beat, health, log, notices, rig, mqtt, nowSeconds }: CheckSource): Check {
  const readings = beat?.outlook.readings;
  const fan = readings?.fan ?? null;
  const sources = readings?.driveEvidence.sources ?? [];
  const believed = readings?.drive?.watts.value ?? null;
  const used = believed === null ? -1 : sources.findIndex(({ watts }) => watts?.value === believed);
  const ago = (at: number | null): number | null => (at === null ? null : Math.round(nowSeconds - at));
  return {
    version,
    node: process.versions.node,
    hardware: health,
    tach:
      fan === null
        ? null
        : {
            rpm: fan.rpm.value,
            regularity: fan.regularity,
            rejected_edges: fan.rejectedEdges,
            lost_edges: fan.lostEdges,
          },
    cycle_seconds: beat?.cycleSeconds ?? null,
    cycle_late_seconds: readings?.upkeep.cycleLateSeconds ?? null,
    wall_trusted: beat?.wallTrusted ?? false,
    rig_link_age_seconds: readings?.upkeep.rigLinkAgeSeconds ?? null,
    rig,
    drive_sources: sources.map(({ name, watts, transmitting }, index) => ({
      name,
      watts: watts === null || watts.value === null ? null : Math.round(watts.value * 10) / 10,
      code: watts?.code ?? null,
      transmitting,
      used: index === used,
    })),
    drive_power_ratio: rounded(readings?.driveEvidence.powerRatio ?? null),
    swr: rounded(readings?.driveEvidence.swr ?? null),
    notices: notices.map(({ name, waiting, failures, lastDeliveredAtSeconds }) => {
      return { name, waiting, failures, delivered_seconds_ago: ago(lastDeliveredAtSeconds) };
    }),
    mqtt:
      mqtt === null
        ? null
        : {
            connected: mqtt.connected,
            trouble: mqtt.trouble,
            record_waiting: mqtt.waiting,
            delivered_seconds_ago: ago(mqtt.acknowledgedAtSeconds),
          },
    log: {
      writable: log.writable,
      trouble: log.trouble === null ? null : "the log takes nothing",
      disk_free_ratio: log.diskFreeRatio,
    },
  };
}

const rounded = (value: number | null): number | null => (value === null ? null : Math.round(value * 100) / 100);
