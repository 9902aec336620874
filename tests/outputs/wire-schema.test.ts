// The schemas against what the daemon really sends: nothing of it is refused, nothing is left out, and a stranger's is refused.

import { expect, it } from "vitest";
import * as z from "zod";
import { frameOf } from "../../daemon/outputs/frame.ts";
import { frameSchema } from "../../daemon/outputs/wire-schema.ts";
import { plainBeat } from "../support/beat.ts";

const frame = frameOf({ ...plainBeat(1), band: "40 m" });

it("a frame of a cycle passes whole", () => {
  expect(z.parse(frameSchema, JSON.parse(JSON.stringify(frame)))).toEqual(frame);
});

it("a frame without its stage, or with a number that is a text, is refused and named", () => {
  const { power_stage: _, ...without } = frame;
  expect(frameSchema.safeParse(without).error?.issues[0]?.path).toEqual(["power_stage"]);
  const wrong = { ...frame, quantities: { core_celsius: { value: "60", quality: "good", code: null } } };
  expect(frameSchema.safeParse(wrong).error?.issues[0]?.path).toEqual(["quantities", "core_celsius", "value"]);
});

it("the JSON Schema asks for every key that a frame has", () => {
  const schema = z.toJSONSchema(frameSchema) as { readonly $schema: string; readonly required: readonly string[] };
  expect(schema.$schema).toBe("https://json-schema.org/draft/2020-12/schema");
  expect([...schema.required].sort()).toEqual(Object.keys(frame).sort());
});
