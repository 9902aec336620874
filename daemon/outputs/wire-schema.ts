// The frame and what belongs to it as zod schemas: for printing a JSON Schema, and for looking at what a stranger sends under our
// name. The compiler holds each against its type of the wire, so that the two cannot part.

import * as z from "zod";
import { RECORD_KINDS, type RecordLine } from "../wire/alarm.ts";
import { type About, type Frame, QUANTITY_NAMES, type Quantity, type WireAlarm } from "../wire/frame.ts";

const seconds = z.number().describe("seconds");
const wallSeconds = z.number().describe("Unix seconds, UTC");
const celsius = z.number().describe("degrees Celsius");
const lines = z.object({ reduce: z.boolean(), inhibit: z.boolean() });

export const quantitySchema = z
  .object({
    value: z.number().nullable().describe("null when there is none to show"),
    quality: z.enum(["good", "suspect", "bad", "estimated"]),
    code: z.string().nullable().describe("why it is not good"),
  })
  .meta({ title: "One number with how much to believe it" }) satisfies z.ZodType<Quantity>;

export const alarmSchema = z
  .object({
    tag: z.string(),
    state: z.string().describe("a state of IEC 62682 in plain words"),
    priority: z.enum(["high", "medium", "low"]),
    text: z.string(),
    since_seconds: seconds.describe("monotonic second of the last change"),
    until_seconds: seconds.nullable().describe("monotonic second at which shelving ends; null when not shelved"),
  })
  .meta({ title: "One alarm that is not normal" }) satisfies z.ZodType<WireAlarm>;

const headroomSchema = z.discriminatedUnion("kind", [
  z.object({ kind: z.literal("levels off"), level_celsius: celsius }),
  z.object({ kind: z.literal("reaches limit"), seconds }),
  z.object({ kind: z.literal("at limit") }),
  z.object({ kind: z.literal("unknown") }),
]);

const quantities = z
  .partialRecord(z.enum(QUANTITY_NAMES), quantitySchema)
  .describe("only fitted or estimated quantities are present; the unit is the end of the name");

export const frameSchema = z
  .object({
    at_seconds: seconds.describe("monotonic seconds of the feedpoint's clock"),
    wall_seconds: wallSeconds,
    wall_trusted: z.boolean().describe("whether the feedpoint's wall clock was set since boot"),
    quantities,
    headroom: headroomSchema,
    power_stage: z.enum(["full", "reduced", "inhibited"]),
    reasons: z.array(z.string()).describe("why the stage is what it is; empty only at full"),
    bypassed_until_seconds: seconds.nullable(),
    relay_permit: lines.describe("wanted; true = permitted"),
    relay_readback: z.object({ reduce: z.boolean().nullable(), inhibit: z.boolean().nullable() }).nullable(),
    fan: z.string(),
    band: z.string().nullable(),
    mode: z.string().nullable(),
    transmitting: z.boolean().nullable(),
    calibration: z.enum(["calibrated", "not calibrated"]),
    degraded: z.array(z.string()),
    disagreement_kelvin: z.number().nullable(),
    alarms: z.array(alarmSchema).describe("all that are not normal, worst first"),
    process_safety_seconds: seconds.nullable(),
    reaction_seconds: seconds.nullable(),
    proof_test: z.object({
      step: z.enum(["idle", "released", "permitted"]),
      instruction: z.string(),
      last_wall_seconds: wallSeconds.nullable(),
      due_wall_seconds: wallSeconds.nullable(),
    }),
  })
  .meta({ title: "The state of a feedpoint at one instant" }) satisfies z.ZodType<Frame>;

export const aboutSchema = z
  .object({
    name: z.string(),
    simulated: z.boolean(),
    speed: z.number().describe("simulated seconds per second"),
    version: z.string(),
    boot_id: z.string(),
    limit_celsius: celsius,
    reduce_celsius: celsius,
    toroids: z.int(),
    fan_nominal_rpm: z.number().nullable(),
  })
  .meta({ title: "What does not change while the daemon runs" }) satisfies z.ZodType<About>;

export const recordLineSchema = z
  .object({
    id: z.int().describe("rises with each line entered"),
    wall_seconds: wallSeconds,
    wall_trusted: z.boolean(),
    kind: z.enum(RECORD_KINDS as readonly [RecordLine["kind"], ...RecordLine["kind"][]]),
    tag: z.string(),
    text: z.string(),
    by: z.string().nullable(),
  })
  .meta({ title: "One line of the permanent record" }) satisfies z.ZodType<RecordLine>;
