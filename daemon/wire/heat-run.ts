// The guided heat run as it travels on /api/v1/heat-run: what stage it is in, what it has learned, what came out. Types only.

export type HeatRunStage =
  | "idle"
  | "prepare"
  | "key-down"
  | "cool-down"
  | "fitting"
  | "result"
  | "refused"
  | "accepted";

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
  /** Why the key-down was ended before its time; null when it was not. */
  readonly halted: string | null;
  readonly converging: readonly WireConverging[];
  readonly refusals: readonly string[];
  readonly result: WireHeatRunResult | null;
};

/** What a page may ask; `at_seconds` is the daemon's monotonic time at which the thermometer was read. */
export type HeatRunRequest =
  | { readonly kind: "begin"; readonly drive_watts: number }
  | { readonly kind: "core reading"; readonly celsius: number; readonly at_seconds: number }
  | { readonly kind: "finish" }
  | { readonly kind: "abort" }
  | { readonly kind: "accept" }
  | { readonly kind: "discard" };
