// The named schemas of the interface's document. Loaded when the document is asked for, with zod: a daemon that nobody asks
// carries none of it.

import * as z from "zod";
import type { Answer } from "../../core/commands.ts";
import { type Access, ROLES } from "../../wire/access.ts";
import type { AlarmRow, RecordPage } from "../../wire/alarm.ts";
import type { Check } from "../../wire/check.ts";
import { type Delta, type History, QUANTITY_NAMES, type ServerMessage } from "../../wire/frame.ts";
import type { HttpProblem } from "../../wire/http-problem.ts";
import type { ChannelHealth } from "../notices/courier.ts";
import { aboutSchema, alarmSchema, frameSchema, quantitySchema, recordLineSchema } from "../wire-schema.ts";
import { describes } from "./describes.ts";
import { heatRunSchema, ratingBasisSchema } from "./model-schemas.ts";
import type { JsonSchema } from "./route.ts";
import { reviewSchema, sessionSchema, summarySchema } from "./season-schemas.ts";

const number = z.number();

const deltaSchema = frameSchema.partial().extend({
  quantities: z
    .partialRecord(z.enum(QUANTITY_NAMES), quantitySchema.nullable())
    .optional()
    .describe("the changed ones; null: it ceased to exist"),
}) satisfies z.ZodType<{ [key in keyof Delta]?: Delta[key] | undefined }>;

const split = { receiving: z.int(), transmitting: z.int() };

const checkSchema = describes<Check>()(
  z.object({
    version: z.string(),
    node: z.string(),
    hardware: z
      .object({
        parts: z.array(
          z.object({
            name: z.string(),
            part: z.string(),
            place: z.string(),
            role: z.string(),
            errors: z.array(z.object({ ...split, code: z.string() })),
          }),
        ),
        buses: z.array(
          z.object({
            bus: z.string(),
            transfers: z.int(),
            retries: z.int(),
            reopens: z.int(),
            errors: z.int(),
            stuck: z.boolean(),
          }),
        ),
        sweeps: z.object(split),
        relay_place: z.string().nullable(),
        uptime_seconds: number,
        resident_bytes: z.int(),
        service_restarts: z.int(),
      })
      .nullable()
      .describe("null until the heartbeat told of it"),
    tach: z
      .object({
        rpm: number.nullable(),
        regularity: number.nullable(),
        rejected_edges: z.int(),
        lost_edges: z.int().nullable(),
      })
      .nullable(),
    cycle_seconds: number.nullable(),
    cycle_late_seconds: number.nullable(),
    wall_trusted: z.boolean(),
    rig_link_age_seconds: number.nullable(),
    rig: z
      .object({ trouble: z.string().nullable(), power_ratio: number.nullable(), found_ratio: number.nullable() })
      .nullable()
      .describe("null where no rig is linked"),
    drive_sources: z
      .array(
        z.object({
          name: z.string(),
          watts: number.nullable(),
          code: z.string().nullable(),
          transmitting: z.boolean().nullable(),
          used: z.boolean(),
        }),
      )
      .describe("who tells of the drive, best first"),
    drive_power_ratio: number.nullable().describe("mean power by one source over that by the next"),
    swr: number.nullable(),
    notices: z.array(
      z.object({
        name: z.string(),
        waiting: z.int(),
        failures: z.int(),
        delivered_seconds_ago: number.nullable(),
      }),
    ),
    mqtt: z
      .object({
        connected: z.boolean(),
        trouble: z.string().nullable(),
        record_waiting: z.int().nullable(),
        delivered_seconds_ago: number.nullable(),
      })
      .nullable()
      .describe("the line to an MQTT broker; null where none is configured"),
    log: z.object({ writable: z.boolean(), trouble: z.string().nullable(), disk_free_ratio: number.nullable() }),
  }),
);

const channelSchema = describes<ChannelHealth>()(
  z.object({
    name: z.string(),
    waiting: z.int(),
    failures: z.int(),
    lastError: z.string().nullable(),
    lastDeliveredAtSeconds: number.nullable(),
  }),
);

const alarmRowSchema = describes<AlarmRow>()(
  z.object({
    tag: z.string(),
    priority: z.enum(["high", "medium", "low"]),
    comes: z.string(),
    latched: z.boolean(),
    cause: z.string(),
    consequence: z.string(),
    response: z.string(),
    respond_within_seconds: number,
  }),
);

const answerSchema = describes<Answer>()(
  z.object({
    id: z.string(),
    accepted: z.boolean(),
    text: z.string().describe("what was done, or why it was refused"),
  }),
);

const problemSchema = describes<HttpProblem>()(
  z.object({
    type: z.string().meta({ format: "uri-reference" }),
    title: z.string(),
    status: z.int().min(400).max(599),
    detail: z.string(),
    code: z.string(),
  }),
);

const accessSchema = describes<Access>()(
  z.object({
    logged_in: z.enum(ROLES).nullable().describe("the role of the login"),
    may: z.object({ read: z.boolean(), acknowledge: z.boolean(), operate: z.boolean() }),
    operator_password: z.boolean().describe("one is set"),
    viewer_password: z.boolean().describe("one is set: looking needs a login"),
    locked: z.boolean().describe("the passwords cannot be read, so nobody gets in"),
    encrypted: z.boolean().describe("false: a password would travel in the clear"),
    local: z.boolean().describe("on the feedpoint's machine, or through a tunnel to it"),
  }),
);

const historySchema = describes<History>()(
  z.object({
    from_seconds: number,
    to_seconds: number,
    series: z.record(z.string(), z.array(z.tuple([number, number, number]))).describe("Unix seconds, least, most"),
  }),
);

/** Name in the document → schema. */
const SCHEMAS = {
  About: aboutSchema,
  Access: accessSchema,
  Alarm: alarmSchema,
  AlarmRow: alarmRowSchema,
  Answer: answerSchema,
  ChannelHealth: channelSchema,
  Check: checkSchema,
  Delta: deltaSchema,
  Frame: frameSchema,
  HeatRun: heatRunSchema,
  HeatRunAnswer: z.object({ accepted: z.boolean(), text: z.string(), heat_run: heatRunSchema }),
  History: historySchema,
  Problem: problemSchema,
  Quantity: quantitySchema,
  RatingBasis: ratingBasisSchema,
  RecordLine: recordLineSchema,
  RecordPage: describes<RecordPage>()(
    z.object({
      lines: z.array(recordLineSchema),
      before: z.int().nullable().describe("ask for the lines before these"),
    }),
  ),
  SeasonReview: reviewSchema,
  Session: sessionSchema,
  State: z.object({
    about: aboutSchema,
    frame: frameSchema,
    age_seconds: number.describe("since the cycle of the frame"),
    notices: z.array(channelSchema).describe("how the people who are told of alarms can be reached"),
  }),
  StreamMessage: z.discriminatedUnion("type", [
    z.object({ type: z.literal("snapshot"), sequence: z.int(), about: aboutSchema, frame: frameSchema }),
    z.object({ type: z.literal("delta"), sequence: z.int(), delta: deltaSchema }),
  ]) satisfies z.ZodType<{ [key in keyof ServerMessage]: unknown }>,
  Summary: summarySchema,
} as const satisfies Readonly<Record<string, z.ZodType>>;
export type SchemaName = keyof typeof SCHEMAS;

/** All of them as JSON Schema 2020-12, each referring to the others by name. */
export function jsonSchemas(): Readonly<Record<string, JsonSchema>> {
  const registry = z.registry<{ id: string }>();
  for (const [id, schema] of Object.entries(SCHEMAS)) registry.add(schema, { id });
  const { schemas } = z.toJSONSchema(registry, {
    // As a reader of answers sees it: a field that is not named here may come one day.
    io: "input",
    uri: (id) => `#/components/schemas/${id}`,
  });
  return Object.fromEntries(Object.entries(schemas).map(([name, { $id, $schema, ...schema }]) => [name, schema]));
}
