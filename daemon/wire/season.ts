// The season's review as it travels to the page, the report and the command line. A leaf that imports nothing.

/** Temperatures of the core whose time above is told, °C. */
export const WATCHED_CELSIUS = [50, 60, 70, 80, 90, 100, 110] as const;

/** What a day, a session or a season amounts to. Energies are joules, times are seconds. */
export type Summary = {
  /** Seconds of which anything is known. */
  readonly known_seconds: number;
  readonly transmitting_seconds: number;
  readonly overs: number;
  /** Transmitting over known time; null when nothing is known. */
  readonly duty_ratio: number | null;
  readonly drive_joules: number;
  /** Energy turned to heat in core and winding. */
  readonly heat_joules: number;
  readonly peak_core_celsius: number | null;
  readonly peak_core_upper_celsius: number | null;
  /** Seconds of the core at or above each of WATCHED_CELSIUS. */
  readonly seconds_above: readonly number[];
  readonly reduced_seconds: number;
  readonly inhibited_seconds: number;
  readonly sensor_errors_receiving: number;
  readonly sensor_errors_transmitting: number;
  readonly bands: readonly BandSummary[];
};

export type BandSummary = {
  readonly band: string;
  readonly transmitting_seconds: number;
  readonly overs: number;
  readonly drive_joules: number;
  readonly heat_joules: number;
  readonly peak_core_celsius: number | null;
  /** Measured loss over the table's; null where the drive was not known. */
  readonly loss_factor: number | null;
};

/** Thermal cycles of the core counted by rainflow (ASTM E1049-85), by range. */
export type CycleClass = { readonly from_kelvin: number; readonly to_kelvin: number | null; readonly count: number };

export type Day = Summary & {
  /** First second of the local day, Unix. */
  readonly from_seconds: number;
  readonly date: string;
  readonly demo: boolean;
};

export type SessionKind = "contest" | "heat run" | "other";
export const SESSION_KINDS: readonly SessionKind[] = ["contest", "heat run", "other"];

export type Session = {
  readonly id: number;
  readonly kind: SessionKind;
  readonly name: string;
  readonly from_seconds: number;
  readonly to_seconds: number;
};

export type SessionSummary = Session & {
  readonly summary: Summary;
  readonly cycles: readonly CycleClass[];
  /** False where the seconds at its ends are gone and whole hours stand for them. */
  readonly exact: boolean;
};

/** A quantity that tells of wear, day by day. */
export type Wear = {
  readonly quantity: string;
  /** In plain words, e.g. "loss factor on 40 m". */
  readonly name: string;
  readonly unit: string;
  /** Unix seconds of the day's noon and the day's value. */
  readonly points: readonly (readonly [number, number])[];
  readonly steps: readonly WearStep[];
  /** Of the points since the last step; null when there are too few. */
  readonly trend: WearTrend | null;
  readonly alarm_value: number | null;
  /** Days until the line reaches the alarm; null when it does not, or when the slope may be chance. */
  readonly days_to_alarm: number | null;
  readonly sentence: string;
};

export type WearTrend = {
  readonly slope_per_month: number;
  readonly slope_uncertainty_per_month: number;
  readonly value_now: number;
  readonly significant: boolean;
  readonly from_seconds: number;
  readonly to_seconds: number;
};

export type WearStep = {
  readonly at_seconds: number;
  readonly before: number;
  readonly after: number;
  /** A note or command of the operator near it, which may be why; null when there is none. */
  readonly attributed_to: string | null;
};

export type FanLife = {
  readonly turning_hours: number;
  /** Hours weighted by temperature: common practice, no source. */
  readonly weighted_hours: number;
  readonly starts: number;
  readonly rule: string;
};

export type SeasonNote = {
  readonly at_seconds: number;
  readonly kind: string;
  readonly tag: string;
  readonly text: string;
  readonly by: string | null;
};

export type SeasonReview = {
  readonly name: string;
  readonly simulated: boolean;
  /** Some or all of it is the made-up demo season. */
  readonly demo: boolean;
  readonly imported: boolean;
  readonly from_seconds: number;
  readonly to_seconds: number;
  readonly utc_offset_seconds: number;
  readonly sentence: string;
  readonly total: Summary;
  readonly days: readonly Day[];
  /** Hours since 1970 (UTC), rising, with what the heat map shows. */
  readonly hours: readonly SeasonHour[];
  readonly cycles: readonly CycleClass[];
  readonly wear: readonly Wear[];
  readonly fan: FanLife;
  readonly sessions: readonly SessionSummary[];
  readonly notes: readonly SeasonNote[];
};

export type SeasonHour = {
  readonly hour: number;
  readonly peak_core_celsius: number | null;
  readonly transmitting_seconds: number;
  readonly heat_joules: number;
};
