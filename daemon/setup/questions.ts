// The questions whose answers become keys of the config as they stand. Each is checked by that key's own schema, so that what is
// accepted here is accepted there.

import type { ZodType } from "zod";
import { readMix } from "../config/mix.ts";
import { RequestError } from "../config/problem.ts";
import { fan, feedpoint, station, transformer } from "../config/schema/feedpoint.ts";
import { limits } from "../config/schema/protection.ts";
import { parseToroid, TOROID_SPELLING } from "../core/physics/toroids.ts";
import { DEFAULT_PROTECTION } from "../core/protect/settings.ts";
import type { Question } from "./person.ts";

/** A key of a table. */
export type KeyQuestion = Omit<Question, "wrong"> & {
  readonly wrong: (answer: string) => string | null;
  readonly table: string;
  readonly name: string;
  /** What stands behind it in the file. */
  readonly comment: string;
  /** The answer as the file has it. */
  readonly value: (answer: string) => string | number;
};

/** What a schema says against an answer; null when it has nothing to say. */
export function wrongBySchema(schema: ZodType): (answer: string) => string | null {
  return (answer) => {
    const parsed = schema.safeParse(valueFor(schema, answer));
    return parsed.success ? null : (parsed.error.issues[0]?.message ?? "another value");
  };
}

/** A text where the schema takes one, else a number where it looks like one: a mix "43" is a name, three toroids are a number. */
export function valueFor(schema: ZodType, answer: string): string | number {
  const isNumber = /^(\d+|0x[0-9a-f]+)$/i.test(answer);
  return isNumber && !schema.safeParse(answer).success ? Number(answer) : answer;
}

type Row = Omit<KeyQuestion, "wrong" | "key" | "value"> & { readonly key?: string; readonly schema: ZodType };

/** A question whose answer the schema judges. */
export const row = ({ schema, key, ...rest }: Row): KeyQuestion => ({
  ...rest,
  key: key ?? rest.name,
  wrong: wrongBySchema(schema),
  value: (answer) => valueFor(schema, answer),
});

/** May be left empty: nothing is written then. */
export function optional(question: KeyQuestion): KeyQuestion {
  return { ...question, wrong: (answer) => (answer === "" ? null : question.wrong(answer)) };
}

const [place, blower, shack] = [feedpoint.unwrap().shape, fan.unwrap().shape, station.unwrap().shape];
const box = transformer.shape;

const mix = row({
  ...{ table: "transformer", name: "mix", schema: box.mix, fallback: null },
  text: "Ferrite mix of the toroids (31, 43, 52, 61, or a CSV file of your own)",
  comment: "31, 43, 52, 61, or a CSV file of your own",
});

const toroid = row({
  ...{ table: "transformer", name: "toroid", schema: box.toroid, fallback: "61.0x35.55x12.7mm" },
  text: "Size of one toroid, outer x inner diameter x height",
  comment: "outer x inner diameter x height of one",
});

/** A mix is a text, also where it looks like a number. */
const knownMix = (answer: string): string | null => {
  try {
    readMix(answer, "mix", "");
    return null;
  } catch (error) {
    if (error instanceof RequestError) return error.problems[0]?.expected ?? "a mix";
    throw error;
  }
};

/** About the place. */
export const PLACE: readonly KeyQuestion[] = [
  row({
    ...{ table: "feedpoint", name: "name", schema: place.name, fallback: "Feedpoint" },
    text: "Name of the feedpoint, as page and notices show it",
    comment: "as page and notices show it",
  }),
  row({
    ...{ table: "feedpoint", name: "altitude", schema: place.altitude, fallback: "0m" },
    text: "Its altitude above the sea, for the density of the air",
    comment: "above the sea: thin air cools less",
  }),
];

/** About core and winding. */
export const TRANSFORMER: readonly KeyQuestion[] = [
  { ...mix, wrong: (answer) => knownMix(answer) },
  row({
    ...{ table: "transformer", name: "toroids", schema: box.toroids, fallback: null },
    text: "Number of toroids in the stack",
    comment: "in one stack",
  }),
  { ...toroid, wrong: (answer) => (parseToroid(answer) === undefined ? TOROID_SPELLING : null) },
  row({
    ...{ table: "transformer", name: "primary_turns", schema: box.primary_turns, fallback: null },
    text: "Turns of the primary, counted through the hole",
    comment: "counted through the hole",
  }),
  optional(
    row({
      ...{ table: "transformer", name: "secondary_turns", schema: box.secondary_turns, fallback: "" },
      text: "Turns of the secondary (empty = leave the winding's own heat out)",
      comment: "with the next key: the winding's own heat is counted too",
    }),
  ),
  optional(
    row({
      ...{ table: "transformer", name: "wire_diameter", schema: box.wire_diameter, fallback: "" },
      text: "Diameter of the wire without insulation, such as 1.3mm (empty = unknown)",
      comment: "bare copper",
    }),
  ),
];

/** About the fan; its speed is asked when the tach has been heard. */
export const FAN = {
  pulses: row({
    ...{ table: "fan", name: "pulses_per_revolution", schema: blower.pulses_per_revolution, fallback: "2" },
    text: "Pulses of the fan's tach per revolution (2 is usual)",
    comment: "2 is usual",
  }),
  speed: row({
    ...{ table: "fan", name: "nominal_speed", schema: blower.nominal_speed, fallback: "11000rpm" },
    text: "Nominal speed of the fan, from its data sheet",
    comment: "at the nominal supply, from its data sheet",
  }),
  supply: row({
    ...{ table: "fan", name: "nominal_supply", schema: blower.nominal_supply, fallback: "12V" },
    text: "Nominal voltage of the fan",
    comment: "at the fan, not at the supply's end of the cable",
  }),
} as const;

/** About what may be asked of the core. */
export const LIMITS: readonly KeyQuestion[] = [
  row({
    ...{ table: "limits", name: "core", key: "core_limit", schema: limits.unwrap().shape.core },
    fallback: `${DEFAULT_PROTECTION.limits.limitCelsius}C`,
    text: "Hottest that the core may become, by its upper bound",
    comment: "power comes off at this upper bound; `reduce` follows 10 K, `reset` 25 K below unless set",
  }),
  row({
    ...{ table: "station", name: "full_drive", schema: shack.full_drive, fallback: "1500W" },
    text: "The most that the transmitter can make",
    comment: "the most that the transmitter can make: sets the process safety time",
  }),
];
