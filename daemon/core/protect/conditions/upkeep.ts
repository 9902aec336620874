// Conditions of the alarms on what the protection stands on: relay, proof test, bus, log, disk, threads, memory.

import { beyond } from "../alarm.ts";
import { describeLines } from "../proof-test.ts";
import { agrees } from "../relay-watch.ts";
import type { Condition } from "../scene.ts";

const MEBIBYTE = 1_048_576;

export const UPKEEP_CONDITIONS = {
  relay_disagrees: {
    holds: ({ readings, wanted }) => {
      if (readings.relay === null) return null;
      const agreed = agrees(wanted, readings.relay);
      // A line that cannot be read back is a line that cannot be trusted.
      return agreed !== true;
    },
    words: ({ readings, wanted }) => `wanted: ${describeLines(wanted)}; read back: ${describeLines(readings.relay)}`,
  },
  proof_test_overdue: {
    holds: ({ readings, proofDueWallSeconds }) => {
      const { wallSeconds, wallTrusted } = readings.upkeep;
      if (readings.relay === null || wallSeconds === null || !wallTrusted || proofDueWallSeconds === null) return null;
      return wallSeconds >= proofDueWallSeconds;
    },
    words: ({ readings, proofDueWallSeconds }) => {
      const { wallSeconds } = readings.upkeep;
      if (wallSeconds === null || proofDueWallSeconds === null) return "the date is not known";
      const days = (wallSeconds - proofDueWallSeconds) / 86_400;
      return days < 0 ? "not due" : `due for ${days.toFixed(0)} days`;
    },
  },
  bus_stuck: {
    holds: ({ readings }) => readings.upkeep.busStuck,
    words: ({ readings }) => (readings.upkeep.busStuck ? "an I2C bus is held low" : "the buses are free"),
  },
  log_not_writable: {
    holds: ({ readings }) => !readings.upkeep.logWritable,
    words: ({ readings }) => (readings.upkeep.logWritable ? "the log is written" : "the log cannot be written"),
  },
  disk_nearly_full: {
    holds: ({ readings }, alarm, held) =>
      readings.upkeep.diskFreeRatio === null ? null : beyond(alarm, readings.upkeep.diskFreeRatio, held),
    words: ({ readings }) =>
      readings.upkeep.diskFreeRatio === null
        ? "free space is not known"
        : `${(100 * readings.upkeep.diskFreeRatio).toFixed(1)} % of the disk is free`,
  },
  service_silent: {
    holds: ({ readings }, alarm, held) => beyond(alarm, readings.upkeep.serviceSilentSeconds, held),
    words: ({ readings }) => `the service thread answered ${readings.upkeep.serviceSilentSeconds.toFixed(1)} s ago`,
  },
  cycle_overrun: {
    holds: ({ readings }, alarm, held) => beyond(alarm, readings.upkeep.cycleLateSeconds, held),
    words: ({ readings }) => `this cycle began ${(1000 * readings.upkeep.cycleLateSeconds).toFixed(0)} ms late`,
  },
  memory_growth: {
    holds: ({ readings }, alarm, held) =>
      readings.upkeep.residentBytes === null ? null : beyond(alarm, readings.upkeep.residentBytes / MEBIBYTE, held),
    words: ({ readings }) =>
      readings.upkeep.residentBytes === null
        ? "memory is not known"
        : `${(readings.upkeep.residentBytes / MEBIBYTE).toFixed(0)} MiB in use`,
  },
} as const satisfies Record<string, Condition>;
