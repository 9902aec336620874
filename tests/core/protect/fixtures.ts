// Quiet readings, a quiet estimate and a program for the protection tests: everything is well until a test says otherwise.
// Plain data; no random numbers and no clock.

import { NO_DRIVE_EVIDENCE } from "../../../daemon/core/drive-evidence.ts";
import type { Estimate } from "../../../daemon/core/estimate/estimate.ts";
import { type Model, modelFromPriors } from "../../../daemon/core/estimate/model.ts";
import { beginFan, type FanHealth } from "../../../daemon/core/protect/fan.ts";
import type { Scene } from "../../../daemon/core/protect/scene.ts";
import { DEFAULT_PROTECTION, type ProtectionSettings } from "../../../daemon/core/protect/settings.ts";
import { beginUpsets } from "../../../daemon/core/protect/upsets.ts";
import { type FanReading, good, type Readings, type UpkeepReading } from "../../../daemon/core/readings.ts";
import { defineProgram, type Program } from "../../../daemon/core/step.ts";

export const MODEL: Model = modelFromPriors({
  bands: [{ band: "80 m", lowHertz: 3.5e6, highHertz: 4e6, lossFraction: 0.06 }],
  nominalRpm: DEFAULT_PROTECTION.fan.nominalRpm,
});

export const SETTINGS = DEFAULT_PROTECTION;

export function programWith(settings: Partial<ProtectionSettings> = {}): Program {
  return defineProgram(MODEL, { ...DEFAULT_PROTECTION, ...settings });
}

export const UPKEEP: UpkeepReading = {
  cycleLateSeconds: 0,
  serviceSilentSeconds: 0.2,
  logWritable: true,
  diskFreeRatio: 0.6,
  busStuck: false,
  wallTrusted: true,
  wallSeconds: 1_780_000_000,
  residentBytes: 80e6,
  rigLinkAgeSeconds: 0.5,
  sensorErrorsTransmitting: 0,
  sensorErrorsReceiving: 0,
};

export const FAN: FanReading = {
  rpm: good(SETTINGS.fan.nominalRpm),
  regularity: 0.99,
  rejectedEdges: 0,
  lostEdges: 0,
  secondsSinceEdge: 0.002,
};

export const READINGS: Readings = {
  inlet: good(20),
  outlet: good(20.4),
  wall: good(20.2),
  ambient: good(19.5),
  core: null,
  humidityRatio: good(0.5),
  fan: FAN,
  supplyVolts: good(12),
  supplyAmperes: good(0.12),
  drive: { watts: good(0), frequencyHertz: 3.6e6, mode: "CW", transmitting: false },
  driveEvidence: NO_DRIVE_EVIDENCE,
  relay: { reduce: true, inhibit: true },
  upkeep: UPKEEP,
};

export const ESTIMATE: Estimate = {
  coreCelsius: 22,
  coreUncertaintyKelvin: 2,
  coreUpperCelsius: 28,
  wallCelsius: 20.2,
  lossWatts: 0,
  airflowCubicMetersPerSecond: 0.0036,
  flowFactor: 1,
  flowFactorUncertainty: 0.03,
  lossFactor: 1,
  headroom: { kind: "levels off", levelCelsius: 28 },
  sustainableWatts: 1000,
  disagreementKelvin: 0,
  innovationSquared: 1,
  calibration: "calibrated",
  degraded: [],
  usable: true,
};

/** A fan that has been turning for long. */
export const TURNING: FanHealth = { ...beginFan(0, null), verdict: "turning", speedRatio: 1 };

export const SCENE: Scene = {
  settings: SETTINGS,
  nowSeconds: 1000,
  readings: READINGS,
  estimate: ESTIMATE,
  stage: "full",
  causes: 0,
  witness: { probeCelsius: null, sumCelsius: 23, bad: false },
  fan: TURNING,
  fanOffOnPurpose: false,
  inletWatch: null,
  outletWatch: null,
  swapEvidenceSeconds: 0,
  upsets: beginUpsets(0, 0, 0),
  wanted: { reduce: true, inhibit: true },
  dewPointCelsius: 9,
  proofDueWallSeconds: 1_790_000_000,
};
