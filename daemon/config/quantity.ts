// A number with a unit as an operator writes it (`100ft`, `85F`, `1.5kW`) → SI, or one clear Problem.
// It never guesses a unit: a bare number is SI, Celsius for temperatures.
import { type Problem, RequestError } from "./problem.ts";

type Unit = { readonly spellings: readonly string[]; readonly factor: number; readonly offset?: number };

const unit = (spellings: string, factor: number, offset = 0): Unit => ({
  spellings: spellings.split(" "),
  factor,
  offset,
});

const CUBIC_FOOT = 0.3048 ** 3;

/** Kinds of quantity; each lists its units with the bare (SI) one first, and says what it is for the error line. */
const KINDS = {
  length: {
    noun: "a length",
    example: "30m or 100ft",
    units: [
      unit("m", 1),
      unit("mm", 1e-3),
      unit("cm", 1e-2),
      unit("km", 1e3),
      unit("ft '", 0.3048),
      unit('in "', 0.0254),
    ],
  },
  temperature: {
    noun: "a temperature",
    example: "30C or 85F",
    units: [unit("C °C c", 1), unit("F °F f", 5 / 9, -160 / 9), unit("K", 1, -273.15)],
  },
  temperatureDifference: {
    noun: "a temperature difference",
    example: "8K or 14F",
    units: [unit("K", 1), unit("C °C c", 1), unit("F °F f", 5 / 9)],
  },
  power: {
    noun: "a power",
    example: "100W or 1.5kW",
    units: [unit("W w", 1), unit("mW", 1e-3), unit("kW kw KW", 1e3)],
  },
  frequency: {
    noun: "a frequency",
    example: "3.6MHz",
    units: [unit("Hz hz", 1), unit("kHz khz KHz KHZ", 1e3), unit("MHz mhz Mhz MHZ", 1e6), unit("GHz ghz", 1e9)],
  },
  current: { noun: "a current", example: "0.1A", units: [unit("A a", 1), unit("mA ma", 1e-3)] },
  voltage: { noun: "a voltage", example: "12V", units: [unit("V v", 1), unit("mV", 1e-3), unit("kV kv KV", 1e3)] },
  resistance: {
    noun: "a resistance",
    example: "50ohm",
    units: [unit("ohm ohms Ohm Ω", 1), unit("kohm kΩ", 1e3)],
  },
  duration: {
    noun: "a duration",
    example: "30s or 15min",
    units: [unit("s", 1), unit("ms", 1e-3), unit("min", 60), unit("h", 3600), unit("d", 86_400)],
  },
  airflow: {
    noun: "an airflow",
    example: "0.005m3/s or 12CFM",
    units: [unit("m3/s m³/s", 1), unit("l/s L/s", 1e-3), unit("m3/h m³/h", 1 / 3600), unit("CFM cfm", CUBIC_FOOT / 60)],
  },
  pressure: {
    noun: "a pressure",
    example: "25Pa or 0.1inH2O",
    units: [unit("Pa", 1), unit("hPa mbar", 100), unit("kPa", 1e3), unit("inH2O", 249.089)],
  },
  area: {
    noun: "an area",
    example: "0.001m2 or 5cm2",
    units: [unit("m2 m²", 1), unit("cm2 cm²", 1e-4), unit("mm2 mm²", 1e-6), unit("in2 in²", 0.0254 ** 2)],
  },
  speed: { noun: "a speed of rotation", example: "11000rpm", units: [unit("rpm", 1), unit("Hz", 60)] },
  mass: { noun: "a mass", example: "0.32kg", units: [unit("kg", 1), unit("g", 1e-3), unit("lb", 0.45359237)] },
  ratio: { noun: "a share", example: "0.5 or 50%", units: [unit("", 1), unit("%", 0.01)] },
  count: { noun: "a number", example: "3", units: [unit("", 1)] },
} as const satisfies Record<
  string,
  { readonly noun: string; readonly example: string; readonly units: readonly Unit[] }
>;

/** What a quantity measures. `temperature` has an offset (85F is 29.4 °C), `temperatureDifference` has none. */
export type QuantityKind = keyof typeof KINDS;

/** Where a value stands and what may stand there; limits in SI (°C for temperatures), inclusive. */
export type QuantityPlace = {
  /** The key, flag or column, e.g. `--drive`. */
  readonly what: string;
  /** File and line, or `command line`. */
  readonly where: string;
  readonly low?: number;
  readonly high?: number;
  readonly whole?: boolean;
};

/** A value in SI, or what is wrong (never both). */
export type ParsedQuantity =
  | { readonly value: number; readonly problem: null }
  | { readonly value: null; readonly problem: Problem };

const NUMBER = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)\s*(.*)$/i;
// An exponent's `e` must not swallow a unit, and no honest value is longer than this.
const LONGEST = 40;

/** Reads one quantity. A number (from TOML or JSON) counts as bare: SI, Celsius for temperatures. */
export function parseQuantity(input: string | number, kind: QuantityKind, place: QuantityPlace): ParsedQuantity {
  const { noun, example, units } = KINDS[kind];
  const fail = (expected: string): ParsedQuantity => ({
    value: null,
    problem: { what: place.what, where: place.where, expected, got: shown(input) },
  });
  const grammar = `${noun} such as ${example}`;
  const text = typeof input === "number" ? String(input) : input.trim();
  const match = text.length > LONGEST ? null : NUMBER.exec(text);
  if (match === null) return fail(grammar);
  const suffix = match[2]!;
  const chosen: Unit | undefined =
    suffix === "" ? units[0] : units.find((candidate: Unit) => candidate.spellings.includes(suffix));
  if (chosen === undefined) {
    const known = units.flatMap((candidate: Unit) => candidate.spellings.slice(0, 1)).filter((name) => name !== "");
    return fail(known.length === 0 ? `${noun} without a unit` : `${grammar} (units ${known.join(", ")})`);
  }
  // Fourteen digits: 140F is 60 °C and not a hair more, so that a limit of 60 °C lets it in.
  const value = Number((Number(match[1]) * chosen.factor + (chosen.offset ?? 0)).toPrecision(14));
  if (!Number.isFinite(value)) return fail(grammar);
  const low = place.low ?? Number.NEGATIVE_INFINITY;
  const high = place.high ?? Number.POSITIVE_INFINITY;
  if (value < low || value > high) return fail(`${noun} ${limits(place, unitName(kind))}`);
  if (place.whole === true && !Number.isInteger(value)) return fail(`a whole number ${limits(place, "")}`.trimEnd());
  return { value, problem: null };
}

/** The value in SI; throws `RequestError` with the one problem. */
export function quantity(input: string | number, kind: QuantityKind, place: QuantityPlace): number {
  const parsed = parseQuantity(input, kind, place);
  if (parsed.problem !== null) throw new RequestError([parsed.problem]);
  return parsed.value;
}

function unitName(kind: QuantityKind): string {
  const name = KINDS[kind].units[0].spellings[0] ?? "";
  return name === "" ? "" : ` ${name}`;
}

function limits(place: QuantityPlace, unitSuffix: string): string {
  if (place.low !== undefined && place.high !== undefined) return `from ${place.low} to ${place.high}${unitSuffix}`;
  if (place.low !== undefined) return `of at least ${place.low}${unitSuffix}`;
  if (place.high !== undefined) return `of at most ${place.high}${unitSuffix}`;
  return "";
}

function shown(input: string | number): string {
  const text = typeof input === "number" ? String(input) : input;
  if (text.trim() === "") return "nothing";
  // A value may come from anywhere: no control characters, no line breaks in the one line.
  const clean = text.replace(/\p{C}/gu, "?");
  return clean.length > LONGEST ? `"${clean.slice(0, LONGEST)}…"` : `"${clean}"`;
}
