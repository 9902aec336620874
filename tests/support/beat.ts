// Completed cycles and entries of the record with nothing special about them, for tests of what carries and keeps them.

import { NO_DRIVE_EVIDENCE } from "../../daemon/core/drive-evidence.ts";
import { bad, good } from "../../daemon/core/readings.ts";
import type { Beat, NumberedEntry } from "../../daemon/crossing/messages.ts";

/** Cycle `number`, a second after the one before; `core` in °C. */
export function plainBeat(number: number, core = 60): Beat {
  return {
    number,
    wallSeconds: 1_790_000_000 + number,
    wallTrusted: true,
    permits: { reduce: true, inhibit: true },
    driven: true,
    cycleSeconds: 0.002,
    outlook: {
      atSeconds: 100 + number,
      readings: {
        inlet: good(20),
        outlet: good(26),
        wall: null,
        ambient: bad("NACK"),
        core: null,
        humidityRatio: null,
        fan: { rpm: good(11_000), regularity: 0.99, rejectedEdges: 0, lostEdges: 0, secondsSinceEdge: 0.002 },
        supplyVolts: good(12),
        supplyAmperes: good(0.17),
        drive: { watts: good(700), frequencyHertz: 7_030_000, mode: "CW", transmitting: true },
        driveEvidence: NO_DRIVE_EVIDENCE,
        relay: { reduce: true, inhibit: true },
        upkeep: {
          cycleLateSeconds: 0.001,
          serviceSilentSeconds: 0.9,
          logWritable: true,
          diskFreeRatio: 0.5,
          busStuck: false,
          wallTrusted: true,
          wallSeconds: 1_790_000_000 + number,
          residentBytes: 80e6,
          rigLinkAgeSeconds: null,
          sensorErrorsTransmitting: 0,
          sensorErrorsReceiving: 0,
        },
      },
      estimate: {
        coreCelsius: core,
        coreUncertaintyKelvin: 2,
        coreUpperCelsius: core + 9,
        wallCelsius: 27,
        lossWatts: 30,
        airflowCubicMetersPerSecond: 0.0035,
        flowFactor: 1,
        flowFactorUncertainty: 0.05,
        lossFactor: 1,
        headroom: { kind: "reaches limit", seconds: 340.4 },
        sustainableWatts: 1100,
        disagreementKelvin: 0.4,
        innovationSquared: 1,
        calibration: "not calibrated",
        degraded: [],
        usable: true,
      },
      fan: "turning",
      stage: "full",
      reasons: [],
      bypassedUntilSeconds: null,
      alarms: [],
      dewPointCelsius: 11,
      processSafetySeconds: 67,
      reactionSeconds: null,
      proofTest: { step: "idle", instruction: "", lastWallSeconds: null, dueWallSeconds: null },
    },
  };
}

/** Entry `number` of the record. */
export function plainEntry(number: number, text = `entry ${number}`): NumberedEntry {
  return {
    number,
    atSeconds: 100 + number,
    wallSeconds: 1_790_000_000 + number,
    wallTrusted: true,
    kind: "event",
    tag: "test",
    text,
    by: null,
  };
}
