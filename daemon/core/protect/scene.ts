// Everything an alarm's condition may look at in one cycle: measured, believed and decided. Types only.

import type { PermitLines, PowerStage } from "../effects.ts";
import type { Estimate } from "../estimate/estimate.ts";
import type { Readings } from "../readings.ts";
import type { Alarm } from "./alarm-list.ts";
import type { FanHealth } from "./fan.ts";
import type { SensorWatch } from "./sensor-watch.ts";
import type { ProtectionSettings } from "./settings.ts";
import type { Upsets } from "./upsets.ts";
import type { Witness } from "./witness.ts";

export type Scene = {
  readonly settings: ProtectionSettings;
  readonly nowSeconds: number;
  /** As read, before the gate took the quality of impossible ones. */
  readonly readings: Readings;
  readonly estimate: Estimate;
  readonly stage: PowerStage;
  /** Demands of this cycle as bits, and what the measured channel says. */
  readonly causes: number;
  readonly witness: Witness;
  readonly fan: FanHealth;
  /** The fan is off because somebody wanted it so. */
  readonly fanOffOnPurpose: boolean;
  readonly inletWatch: SensorWatch | null;
  readonly outletWatch: SensorWatch | null;
  readonly swapEvidenceSeconds: number;
  readonly upsets: Upsets;
  /** What the last cycle wanted of the lines. */
  readonly wanted: PermitLines;
  readonly dewPointCelsius: number | null;
  readonly proofDueWallSeconds: number | null;
};

/** How one alarm looks at the scene. */
export type Condition = {
  /** null = cannot be told now. `held`: the alarm's condition holds already, for the deadband. */
  readonly holds: (scene: Scene, alarm: Alarm, held: boolean) => boolean | null;
  /** What it says now, with numbers; asked for only while the alarm is not normal. */
  readonly words: (scene: Scene, alarm: Alarm) => string;
  /** By design it means nothing at present. */
  readonly suppressed?: (scene: Scene) => boolean;
};
