// The topic tree: what stands under PREFIX/ID/, who keeps it and for how long, and the shape of each message. Documents and the
// overview read it from here too. A feedpoint only writes these topics; it subscribes to nothing.

import * as z from "zod";
import { aboutSchema, alarmSchema, frameSchema, recordLineSchema } from "../wire-schema.ts";

export const availabilitySchema = z
  .object({
    state: z
      .enum(["online", "stopped", "lost"])
      .describe("stopped: somebody ended the daemon; lost: the broker stopped hearing it (its last will)"),
  })
  .meta({ title: "Whether the feedpoint's daemon is there" });

export const feedpointSchema = z
  .object({
    about: aboutSchema,
    page: z.string().nullable().describe("address of the feedpoint's own page"),
    every_seconds: z.number().describe("how often `state` comes"),
    expiry_seconds: z
      .int()
      .describe("message expiry that each `state` began with: minus what is left of it is its age"),
  })
  .meta({ title: "Which feedpoint this is" });
export type FeedpointMessage = z.output<typeof feedpointSchema>;

const alarmsSchema = z
  .object({ wall_seconds: z.number(), wall_trusted: z.boolean(), alarms: z.array(alarmSchema) })
  .meta({ title: "All alarms that are not normal, whenever one changes its state" });

const sentLineSchema = recordLineSchema
  .extend({
    run: z.string().describe("one start of the daemon"),
    number: z.int().describe("place in that run; run and number together are met once"),
    previous: z.int().describe("id of the line sent before; where it was not received, lines are missing"),
  })
  .meta({ title: "One line of the record, in order" });
export type SentLine = z.output<typeof sentLineSchema>;

const recentSchema = z
  .object({ lines: z.array(sentLineSchema.omit({ previous: true })).describe("newest first") })
  .meta({ title: "The newest lines of the record, to fill a gap from" });

type TopicSpec = {
  readonly retain: boolean;
  readonly expires: boolean;
  readonly says: string;
  readonly schema: z.ZodType;
};

/** All are published with QoS 1. */
export const TOPICS = {
  availability: {
    retain: true,
    expires: false,
    says: "online, stopped, or lost (last will)",
    schema: availabilitySchema,
  },
  about: { retain: true, expires: false, says: "name, version, limits, address of the page", schema: feedpointSchema },
  state: { retain: true, expires: true, says: "every number with its quality, stage, reasons", schema: frameSchema },
  alarms: { retain: true, expires: false, says: "alarms that are not normal, at each change", schema: alarmsSchema },
  record: { retain: false, expires: false, says: "each line of the record, in order", schema: sentLineSchema },
  "record/recent": { retain: true, expires: false, says: "the newest lines of the record", schema: recentSchema },
  check: { retain: false, expires: false, says: "an empty object, sent by `emberwire check`", schema: z.object({}) },
} as const satisfies Readonly<Record<string, TopicSpec>>;
export type TopicName = keyof typeof TOPICS;

export const topicOf = (prefix: string, id: string, name: TopicName): string => `${prefix}/${id}/${name}`;

/** The tree with a JSON Schema (2020-12) for each message. */
export function topicTree(prefix: string): object {
  const entries = Object.entries(TOPICS).map(([name, { retain, expires, says, schema }]) => [
    `${prefix}/{id}/${name}`,
    { description: says, qos: 1, retain, expires, schema: z.toJSONSchema(schema) },
  ]);
  return { protocol: "MQTT 5", topics: Object.fromEntries(entries) };
}

/** The tree as a table for the manual. */
export function topicTableMarkdown(): string {
  const rows = Object.entries(TOPICS).map(
    ([name, { retain, expires, says }]) =>
      `| \`ID/${name}\` | ${says} | ${retain ? (expires ? "until it expires" : "yes") : "no"} |`,
  );
  return ["| topic | says | retained |", "| --- | --- | --- |", ...rows, ""].join("\n");
}
