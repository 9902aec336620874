// The season's review as zod schemas, for the description of the interface.

import * as z from "zod";
import {
  type CycleClass,
  type Day,
  type FanLife,
  SESSION_KINDS,
  type SeasonReview,
  type Session,
  type Summary,
  WATCHED_CELSIUS,
  type Wear,
} from "../../wire/season.ts";
import { describes } from "./describes.ts";

const wallSeconds = z.number().describe("Unix seconds, UTC");
const number = z.number();
const celsius = z.number().nullable().describe("degrees Celsius; null when not known");

const bandSummary = z.object({
  band: z.string(),
  transmitting_seconds: number,
  overs: number,
  drive_joules: number,
  heat_joules: number,
  peak_core_celsius: celsius,
  loss_factor: number.nullable().describe("measured loss over the table's; null where the drive was not known"),
});

const summary = z.object({
  known_seconds: number.describe("seconds of which anything is known"),
  transmitting_seconds: number,
  overs: number,
  duty_ratio: number.nullable(),
  drive_joules: number,
  heat_joules: number.describe("turned to heat in core and winding"),
  peak_core_celsius: celsius,
  peak_core_upper_celsius: celsius,
  seconds_above: z.array(number).describe(`seconds of the core at or above ${WATCHED_CELSIUS.join(", ")} °C`),
  reduced_seconds: number,
  inhibited_seconds: number,
  sensor_errors_receiving: number,
  sensor_errors_transmitting: number,
  bands: z.array(bandSummary),
});
export const summarySchema = describes<Summary>()(summary);

const cycleClass = describes<CycleClass>()(
  z.object({ from_kelvin: number, to_kelvin: number.nullable(), count: number }),
);
const cycles = z.array(cycleClass).describe("thermal cycles of the core by range, rainflow of ASTM E1049-85");

const daySchema = describes<Day>()(summary.extend({ from_seconds: wallSeconds, date: z.string(), demo: z.boolean() }));

const session = z.object({
  id: z.int(),
  kind: z.enum(SESSION_KINDS as readonly [Session["kind"], ...Session["kind"][]]),
  name: z.string(),
  from_seconds: wallSeconds,
  to_seconds: wallSeconds,
});
export const sessionSchema = describes<Session>()(session);

const wear = describes<Wear>()(
  z.object({
    quantity: z.string(),
    name: z.string(),
    unit: z.string(),
    points: z.array(z.tuple([wallSeconds, number])).describe("noon of the day, the day's value"),
    steps: z.array(
      z.object({ at_seconds: wallSeconds, before: number, after: number, attributed_to: z.string().nullable() }),
    ),
    trend: z
      .object({
        slope_per_month: number,
        slope_uncertainty_per_month: number,
        value_now: number,
        significant: z.boolean(),
        from_seconds: wallSeconds,
        to_seconds: wallSeconds,
      })
      .nullable(),
    alarm_value: number.nullable(),
    days_to_alarm: number.nullable(),
    sentence: z.string(),
  }),
);

const fan = describes<FanLife>()(
  z.object({ turning_hours: number, weighted_hours: number, starts: number, rule: z.string() }),
);

export const reviewSchema = describes<SeasonReview>()(
  z.object({
    name: z.string(),
    simulated: z.boolean(),
    demo: z.boolean().describe("some or all of it is the made-up demo season"),
    imported: z.boolean(),
    from_seconds: wallSeconds,
    to_seconds: wallSeconds,
    utc_offset_seconds: number,
    sentence: z.string(),
    total: summarySchema,
    days: z.array(daySchema),
    hours: z.array(
      z.object({
        hour: z.int().describe("hours since 1970, UTC"),
        peak_core_celsius: celsius,
        transmitting_seconds: number,
        heat_joules: number,
      }),
    ),
    cycles,
    wear: z.array(wear),
    fan,
    sessions: z.array(session.extend({ summary: summarySchema, cycles, exact: z.boolean() })),
    notes: z.array(
      z.object({
        at_seconds: wallSeconds,
        kind: z.string(),
        tag: z.string(),
        text: z.string(),
        by: z.string().nullable(),
      }),
    ),
  }),
);
