// Config → the plain description from which the hardware layer opens its parts. It opens nothing.

import type { HardwareSpec, SensorSpec } from "../../hardware/ports.ts";
import { calibrationFault } from "../station/detector.ts";
import { lineProblems, lineSpec } from "./lines.ts";
import type { ReadConfig } from "./parse.ts";
import { type Problem, RequestError } from "./problem.ts";
import type { Config } from "./schema/config.ts";

const DEFAULT_BUS = 1;

/**
 * @throws RequestError when two parts claim one name, one address or one line, when inlet or outlet has no sensor, or when the
 * detector's calibration does not rise
 */
export function hardwareSpec(read: ReadConfig): HardwareSpec {
  const { config } = read;
  const { buzzer, fan_cut, relay } = config;
  const problems = [...missing(read), ...clashes(read), ...lineProblems(read), ...unswitched(read), ...unfit(read)];
  if (problems.length > 0) throw new RequestError(problems);
  return {
    sensors: config.sensor.map(sensorSpec),
    tachometer: tachometerSpec(config),
    supply: config.supply === undefined ? null : withShunt(config.supply),
    drive: config.drive === undefined ? null : driveSpec(config.drive),
    ptt:
      config.ptt === undefined
        ? null
        : { line: lineSpec(config.ptt.line, config.ptt.chip), keyedLevel: config.ptt.keyed === "high" ? 1 : 0 },
    relay:
      relay === undefined
        ? null
        : { reduce: lineSpec(relay.reduce, relay.chip), inhibit: lineSpec(relay.inhibit, relay.chip) },
    buzzer: buzzer === undefined ? null : lineSpec(buzzer.line, buzzer.chip),
    fanCut: fan_cut === undefined ? null : lineSpec(fan_cut.line, fan_cut.chip),
    pulse: relay?.pulse === undefined ? null : lineSpec(relay.pulse, relay.chip),
  };
}

type SensorTable = Config["sensor"][number];

function sensorSpec({ name, role, chip, bus, address, hwmon, one_wire }: SensorTable): SensorSpec {
  if (hwmon !== undefined) return { name, role, source: { kind: "hwmon", path: hwmon } };
  if (one_wire !== undefined) return { name, role, source: { kind: "one-wire", path: one_wire } };
  // The schema lets no sensor through that has none of the three.
  if (chip === undefined || address === undefined) throw new TypeError(`sensor ${name} has no source`);
  return { name, role, source: { kind: "i2c", chip, bus: bus ?? DEFAULT_BUS, address } };
}

function tachometerSpec({ tach, fan }: Config): HardwareSpec["tachometer"] {
  if (!tach.fitted) return null;
  if (tach.hwmon !== undefined) return { kind: "hwmon", path: tach.hwmon };
  if (tach.line === undefined) throw new TypeError("the tachometer has no source");
  const { line, chip, bias } = tach;
  return { kind: "gpio", line: lineSpec(line, chip), bias, pulsesPerRevolution: fan.pulses_per_revolution };
}

function withShunt({ chip, bus, address, shunt }: NonNullable<Config["supply"]>): HardwareSpec["supply"] {
  return { chip, bus, address, shuntOhms: shunt };
}

function driveSpec({
  chip,
  bus,
  address,
  forward_channel,
  reflected_channel,
}: NonNullable<Config["drive"]>): HardwareSpec["drive"] {
  const reflected = reflected_channel ?? null;
  return {
    chip,
    bus,
    address,
    forwardChannel: channel(forward_channel),
    reflectedChannel: reflected === null ? null : channel(reflected),
  };
}

function channel(number: number): 0 | 1 | 2 | 3 {
  if (number === 0 || number === 1 || number === 2 || number === 3) return number;
  throw new RangeError(`there is no channel ${number}`);
}

/** Without the air on both sides nothing can be said of the core, and no power would ever be permitted. */
function* missing({ config, placeOf }: ReadConfig): Generator<Problem> {
  for (const role of ["inlet", "outlet"] as const) {
    if (config.sensor.some((sensor) => sensor.role === role)) continue;
    const got = `${config.sensor.map((sensor) => sensor.role).join(", ")} only`;
    yield { what: "sensor", where: placeOf(["sensor"]), expected: `a [[sensor]] with role = "${role}"`, got };
  }
}

/** Attempts without a switch, or a switch without attempts, would be a promise that nothing keeps. */
function* unswitched({ config, placeOf }: ReadConfig): Generator<Problem> {
  const attempts = config.fan.power_cycle !== undefined;
  if (attempts === (config.fan_cut !== undefined)) return;
  const [what, path, expected] = attempts
    ? (["fan.power_cycle", ["fan", "power_cycle"], "a table [fan_cut] with the line of the switch"] as const)
    : (["fan_cut", ["fan_cut"], "a table [fan.power_cycle] with the number of attempts"] as const);
  yield { what, where: placeOf(path), expected, got: "none" };
}

function* unfit({ config, placeOf }: ReadConfig): Generator<Problem> {
  const { drive } = config;
  if (drive?.law === "log" && drive.calibration === undefined) {
    const expected = "the points of a logarithmic detector: there are no usual ones";
    yield { what: "drive.calibration", where: placeOf(["drive"]), expected, got: "nothing" };
  }
  for (const key of ["calibration", "reflected_calibration"] as const) {
    const points = drive?.[key];
    if (points === undefined) continue;
    const expected = calibrationFault(
      points.map(([volts, watts]) => ({ volts, watts })),
      drive?.law,
    );
    if (expected === null) continue;
    const got = points.map(([volts, watts]) => `${volts} V ${watts} W`).join(", ");
    yield { what: `drive.${key}`, where: placeOf(["drive", key]), expected, got: got.slice(0, 80) };
  }
}

/** Things that exist once and were asked for twice. */
function* clashes({ config, placeOf }: ReadConfig): Generator<Problem> {
  const names = new Map<string, string>();
  const addresses = new Map<string, string>();
  const claim = (taken: Map<string, string>, thing: string, what: string, where: string): Problem[] => {
    const holder = taken.get(thing);
    taken.set(thing, holder ?? what);
    return holder === undefined ? [] : [{ what, where, expected: `something other than ${holder} has`, got: thing }];
  };
  for (const [index, { name, chip, bus, address, ...files }] of config.sensor.entries()) {
    yield* claim(names, `"${name}"`, `sensor[${index}].name`, placeOf(["sensor", index, "name"]));
    for (const key of ["hwmon", "one_wire"] as const) {
      const path = files[key];
      if (path !== undefined) yield* claim(addresses, path, `sensor[${index}].${key}`, placeOf(["sensor", index, key]));
    }
    if (chip === undefined || address === undefined) continue;
    yield* claim(
      addresses,
      placeName(bus ?? DEFAULT_BUS, address),
      `sensor[${index}].address`,
      placeOf(["sensor", index, "address"]),
    );
  }
  for (const key of ["supply", "drive"] as const) {
    const part = config[key];
    if (part === undefined) continue;
    yield* claim(addresses, placeName(part.bus, part.address), `${key}.address`, placeOf([key, "address"]));
  }
}

const placeName = (bus: number, address: number): string => `i2c-${bus} 0x${address.toString(16).padStart(2, "0")}`;
