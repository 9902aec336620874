// What an operator soldered: sensors, tachometer, relay, supply monitor, drive detector. Shapes and defaults only.

import * as z from "zod";
import { address, bus, flag, line, oneOf, quantity, text, whole } from "./fields.ts";

const role = oneOf("inlet", "outlet", "wall", "ambient", "core");
const path = text(200);

const WAYS = ["chip", "hwmon", "one_wire"] as const;

/** By its chip on a bus, by the kernel's file of a hwmon driver, or by that of a 1-wire thermometer. */
export const sensor = z
  .strictObject({
    name: text(40),
    role,
    chip: oneOf("lm75", "tmp1075", "tmp117", "mcp9808", "sht3x", "sht4x").optional(),
    bus: bus.optional(),
    address: address.optional(),
    hwmon: path.optional(),
    one_wire: path.optional(),
  })
  .superRefine((given, context) => {
    const ways = WAYS.filter((way) => given[way] !== undefined);
    const wanted = (key: string, expected: string, got: string): void => {
      context.addIssue({ code: "custom", path: key === "" ? [] : [key], message: expected, params: { expected, got } });
    };
    if (ways.length !== 1) wanted("", `one of ${WAYS.join(", ")}`, ways.length === 0 ? "none" : ways.join(" and "));
    else if (given.chip !== undefined && given.address === undefined) {
      wanted("address", "the chip's address such as 0x48", "nothing");
    } else if (given.chip === undefined && (given.bus ?? given.address) !== undefined) {
      wanted(given.bus === undefined ? "address" : "bus", "a chip beside it", "no chip");
    }
  });

/** How the kernel is asked for lines; without it the character device where there is one, sysfs otherwise. */
export const gpio = z.strictObject({ interface: oneOf("cdev", "sysfs").optional() }).prefault({});

/** The label of the GPIO chip; without it the header's own chip. */
const onChip = { chip: text(60).optional() };

/** `fitted = false` says that there is none. */
export const tach = z
  .strictObject({
    line: line.optional(),
    ...onChip,
    /** The processor's own weak resistor, beside the one to 3.3 V that is soldered. */
    bias: oneOf("pull-up", "pull-down", "none").default("pull-up"),
    hwmon: path.optional(),
    fitted: flag.default(true),
  })
  .superRefine(({ fitted, line: pin, hwmon }, context) => {
    if (fitted && (pin === undefined) === (hwmon === undefined)) {
      const expected = "line, hwmon, or fitted = false";
      const got = pin === undefined ? "none of them" : "line and hwmon";
      context.addIssue({ code: "custom", message: expected, params: { expected, got } });
    }
  });

/** `pulse` moves with every completed cycle, for a one-shot that releases both relays when it stands still. */
export const relay = z.strictObject({ reduce: line, inhibit: line, pulse: line.optional(), ...onChip });

/** The transmitter's PTT line, through an isolator; most rigs pull it to ground while they transmit. */
export const ptt = z.strictObject({ line, ...onChip, keyed: oneOf("low", "high").default("low") });

/** A sounder beside the operator, high = it sounds. */
export const buzzer = z.strictObject({ line, ...onChip });

/** A switch in the fan's supply, high = cut, for a fan that starts again only after it was without. */
export const fanCut = z.strictObject({ line, ...onChip });

export const supply = z.strictObject({
  chip: oneOf("ina219", "ina226"),
  bus: bus.default(1),
  address: address.default(0x40),
  shunt: quantity("resistance", { low: 1e-5, high: 100 }).prefault("0.1ohm"),
});

const channel = whole(0, 3);
const calibrationPoint = z.tuple([quantity("voltage", { low: 0, high: 6 }), quantity("power", { low: 0, high: 1e5 })], {
  error: 'a pair of volts and watts such as ["1V", "167W"]',
});

const calibration = z
  .array(calibrationPoint)
  .min(2, { error: "at least two points" })
  .max(64, { error: "at most 64 points" });

export const drive = z.strictObject({
  chip: oneOf("ads1115").default("ads1115"),
  bus: bus.default(1),
  /** ADDR tied to SDA: at the chip's first address, 0x48, sits the first of the usual sensors. */
  address: address.default(0x4a),
  forward_channel: channel.default(0),
  reflected_channel: channel.optional(),
  /** Detector volts and the watts of a wattmeter beside them, rising. */
  calibration: calibration.optional(),
  /** Of the reflected channel where it differs. */
  reflected_calibration: calibration.optional(),
  /** How its volts go with the power: a diode's, or those of a logarithmic detector. */
  law: oneOf("diode", "log").default("diode"),
  /** Power from which the transmitter counts as keyed. */
  keyed: quantity("power", { low: 0.1, high: 1000 }).prefault("5W"),
});
