// What stands at the feedpoint: its name and place, the transformer and the fan. Shapes and defaults only.

import * as z from "zod";
import { oneOf, quantity, text, whole } from "./fields.ts";

export const feedpoint = z
  .strictObject({
    name: text(60).default("Feedpoint"),
    altitude: quantity("length", { low: -500, high: 6000 }).prefault("0m"),
  })
  .prefault({});

export const transformer = z.strictObject(
  {
    /** A published mix, or a CSV file of your own. */
    mix: text(200),
    toroids: whole(1, 20),
    toroid: text(80).default("61.0x35.55x12.7mm"),
    primary_turns: whole(1, 100),
    secondary_turns: whole(1, 500).optional(),
    wire_diameter: quantity("length", { low: 1e-4, high: 0.01 }).optional(),
    /** Of a mix of your own whose table cannot say it. */
    curie: quantity("temperature", { low: 40, high: 600 }).optional(),
  },
  { error: "a table [transformer] with mix, toroids and primary_turns" },
);

export const model = z
  .strictObject({
    /** Written by `heat-run fit`; without it geometry and tables have to do. */
    file: text(400).optional(),
  })
  .prefault({});

export const fan = z
  .strictObject({
    nominal_speed: quantity("speed", { low: 100, high: 60_000 }).prefault("11000rpm"),
    nominal_supply: quantity("voltage", { low: 1, high: 60 }).prefault("12V"),
    pulses_per_revolution: whole(1, 12).default(2),
    start: quantity("duration", { low: 0.5, high: 60 }).optional(),
    stall: quantity("duration", { low: 0.05, high: 5 }).optional(),
    slow: quantity("ratio", { low: 0.1, high: 1 }).optional(),
    surge: quantity("ratio", { low: 0.005, high: 1 }).optional(),
    longest_off: quantity("duration", { low: 60, high: 7 * 86_400 }).optional(),
    power_cycle: z
      .strictObject({
        attempts: whole(1, 10),
        off: quantity("duration", { low: 1, high: 60 }).prefault("5s"),
        wait: quantity("duration", { low: 5, high: 600 }).prefault("10s"),
      })
      .optional(),
  })
  .prefault({});

export const station = z
  .strictObject({
    /** Where nothing is linked: the one frequency and mode that are used. */
    frequency: quantity("frequency", { low: 1e5, high: 6e7 }).optional(),
    mode: text(20).optional(),
    /** Largest drive the transmitter can make. */
    full_drive: quantity("power", { low: 1, high: 10_000 }).prefault("1500W"),
    region: oneOf("1", "2", "3").optional(),
  })
  .prefault({});
