// The guided heat run as it travels on /api/v1/heat-run: what stage it is in, what it has learned, what came out.

export type HeatRunStage =
  | "idle"
  | "prepare"
  | "key-down"
  | "fan-off"
  | "cool-down"
  | "fitting"
  | "result"
  | "refused"
  | "accepted";

/** How long each stage lasts, s; a key-down may be ended earlier, a cool-down too. */
export const STAGE_SECONDS = { prepare: 300, "key-down": 2400, "fan-off": 720, "cool-down": 1800 } as const;
export type LiveStage = keyof typeof STAGE_SECONDS;

/** One quantity while the run goes on; `settled` = the last five minutes of data hardly moved it. */
export type WireConverging = { readonly name: string; readonly value: number; readonly settled: boolean };

/** One quantity of the result beside the model in use. */
export type WireFitted = {
  readonly name: string;
  readonly unit: string;
  readonly in_use: number;
  readonly value: number;
  readonly standard_uncertainty: number;
  readonly identified: boolean;
};

export type WireHeatRunResult = {
  readonly calibration: "calibrated" | "not calibrated";
  readonly outlet_residual_kelvin: number;
  /** Standard uncertainty of the core's rise over the rise, fan turning: the new model's and that in use. */
  readonly rise_uncertainty_ratio: number;
  readonly in_use_rise_uncertainty_ratio: number;
  readonly quantities: readonly WireFitted[];
  readonly spots: readonly { readonly at_seconds: number; readonly celsius: number; readonly fitted_celsius: number }[];
};

export type WireHeatRun = {
  readonly stage: HeatRunStage;
  readonly planned_watts: number;
  /** Seconds in this stage, and how long it should last. */
  readonly stage_seconds: number;
  readonly target_seconds: number;
  readonly transmitting: boolean;
  readonly recorded_seconds: number;
  /** Seconds since unkeying while a core reading is asked for; null when none is. */
  readonly unkeyed_seconds: number | null;
  readonly spots: readonly { readonly at_seconds: number; readonly celsius: number }[];
  /** Why the key-down or the part without the fan was ended before its time; null when it was not. */
  readonly halted: string | null;
  /** A part with the fan stopped was asked for. */
  readonly fan_off: boolean;
  readonly fan_turning: boolean;
  /** In that part: the core is cool enough to stop the fan; and the fan is to be switched on again. */
  readonly fan_may_stop: boolean;
  readonly fan_must_turn: boolean;
  /** The upper bound at which the fan must turn again. */
  readonly fan_off_celsius: number;
  /** Why an earlier run could not be gone on with; null when none was lost. */
  readonly cut_off: string | null;
  readonly converging: readonly WireConverging[];
  readonly refusals: readonly string[];
  readonly result: WireHeatRunResult | null;
};

/** What a page may ask; `at_seconds` is the daemon's monotonic time at which the thermometer was read. */
export type HeatRunRequest =
  | { readonly kind: "begin"; readonly drive_watts: number; readonly fan_off?: boolean }
  | { readonly kind: "core reading"; readonly celsius: number; readonly at_seconds: number }
  | { readonly kind: "skip fan off" }
  | { readonly kind: "finish" }
  | { readonly kind: "abort" }
  | { readonly kind: "accept" }
  | { readonly kind: "discard" };
