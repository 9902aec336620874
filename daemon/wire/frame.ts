// The contract with browsers: what travels on the stream and in /api/v1/state. A leaf that imports nothing.

export type WireQuality = "good" | "suspect" | "bad" | "estimated";

/** One number with how much to believe it; `value` null when there is none to show. */
export type Quantity = { readonly value: number | null; readonly quality: WireQuality; readonly code: string | null };

/** Identifiers of the vocabulary that travel as quantities. */
export const QUANTITY_NAMES = [
  "inlet_celsius",
  "outlet_celsius",
  "ambient_celsius",
  "wall_celsius",
  "core_celsius",
  "core_upper_celsius",
  "core_uncertainty_kelvin",
  "fan_rpm",
  "fan_volts",
  "fan_amperes",
  "airflow_cubic_meters_per_second",
  "flow_factor",
  "humidity_ratio",
  "dew_point_celsius",
  "drive_watts",
  "loss_watts",
  "headroom_seconds",
  "sustainable_watts",
] as const;
export type QuantityName = (typeof QUANTITY_NAMES)[number];

export type WireStage = "full" | "reduced" | "inhibited";

export type WireHeadroom =
  | { readonly kind: "levels off"; readonly level_celsius: number }
  | { readonly kind: "reaches limit"; readonly seconds: number }
  | { readonly kind: "at limit" }
  | { readonly kind: "unknown" };

export type WireAlarm = {
  readonly tag: string;
  readonly state: string;
  readonly priority: "high" | "medium" | "low";
  readonly text: string;
  readonly since_seconds: number;
  readonly until_seconds: number | null;
};

/** The guided proof test of the relay lines; `instruction` is empty while it is idle. */
export type WireProofTest = {
  readonly step: "idle" | "released" | "permitted";
  readonly instruction: string;
  /** Unix seconds; `last` null = never proved, or the clock was not trusted then; `due` null = not known. */
  readonly last_wall_seconds: number | null;
  readonly due_wall_seconds: number | null;
};

/** The state of the feedpoint at one instant. Flat on purpose: a delta names the top-level keys that changed. */
export type Frame = {
  /** Monotonic seconds of the daemon's clock. */
  readonly at_seconds: number;
  readonly wall_seconds: number;
  readonly wall_trusted: boolean;
  /** Only fitted or estimated quantities are present. */
  readonly quantities: { readonly [name in QuantityName]?: Quantity };
  readonly headroom: WireHeadroom;
  readonly power_stage: WireStage;
  readonly reasons: readonly string[];
  readonly bypassed_until_seconds: number | null;
  /** Permit lines wanted and read back; null where unknown. */
  readonly relay_permit: { readonly reduce: boolean; readonly inhibit: boolean };
  readonly relay_readback: { readonly reduce: boolean | null; readonly inhibit: boolean | null } | null;
  readonly fan: string;
  readonly band: string | null;
  readonly mode: string | null;
  readonly transmitting: boolean | null;
  readonly calibration: "calibrated" | "not calibrated";
  readonly degraded: readonly string[];
  readonly disagreement_kelvin: number | null;
  readonly alarms: readonly WireAlarm[];
  /** Full power, fan stopped, trip point to Curie point; null when it never gets there. */
  readonly process_safety_seconds: number | null;
  /** Detection of a stall plus read-back of the released line, as last measured; null before the first. */
  readonly reaction_seconds: number | null;
  readonly proof_test: WireProofTest;
};

/** What does not change while the daemon runs. */
export type About = {
  readonly name: string;
  readonly simulated: boolean;
  readonly speed: number;
  readonly version: string;
  readonly boot_id: string;
  readonly limit_celsius: number;
  readonly reduce_celsius: number;
  readonly toroids: number;
  readonly fan_nominal_rpm: number | null;
};

/** Changed top-level keys; within `quantities`, changed names only. A quantity that ceased to exist is null. */
export type Delta = Partial<Omit<Frame, "quantities">> & {
  readonly quantities?: { readonly [name in QuantityName]?: Quantity | null };
};

export type ServerMessage =
  | { readonly type: "snapshot"; readonly sequence: number; readonly about: About; readonly frame: Frame }
  | { readonly type: "delta"; readonly sequence: number; readonly delta: Delta };

/** One answer of /api/v1/history: per series, `[seconds, min, max]` triples, thinned so that no peak is lost. */
export type History = {
  readonly from_seconds: number;
  readonly to_seconds: number;
  readonly series: { readonly [name: string]: readonly (readonly [number, number, number])[] };
};
