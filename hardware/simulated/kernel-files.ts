// The kernel's text files of a simulated board: hwmon temperatures and fan speed, 1-wire thermometers, with the kernel's own
// units, checksums and slowness. It serves only the paths that the specification names, and their neighbours.

import { basename, dirname } from "node:path";
import type { Clock, HardwareSpec, SensorSpec } from "../ports.ts";
import { type CallGate, systemError } from "./calls.ts";
import type { Probe } from "./chips/device.ts";
import type { FaultScript } from "./faults.ts";
import type { SimulatedFeedpoint } from "./feedpoint.ts";
import type { Random } from "./random.ts";

/** What the files are made from. */
export type KernelFilesOptions = {
  readonly spec: Pick<HardwareSpec, "sensors" | "tachometer">;
  readonly probeOf: (sensor: SensorSpec) => Probe;
  readonly feedpoint: SimulatedFeedpoint;
  readonly clock: Clock;
  readonly gate: CallGate;
  readonly faults: FaultScript;
  readonly random: Random;
};

/** A DS18B20 converts twelve bits in up to this long, s; the kernel's read waits for it. */
const ONE_WIRE_SECONDS = 0.75;
const POWER_ON_SIXTEENTHS = 85 * 16;

type KernelFile = () => Promise<string> | string;

/** The files by path, and the names in a folder of them; both reject with ENOENT where there is none. */
export type KernelFiles = {
  readText(path: string): Promise<string>;
  list(path: string): Promise<readonly string[]>;
};

/** The kernel files of a simulated board; `devices` are the names in `/dev`. */
export function kernelFiles(options: KernelFilesOptions, devices: readonly string[] = []): KernelFiles {
  const files = new Map<string, KernelFile>();
  for (const sensor of options.spec.sensors) {
    const { source } = sensor;
    if (source.kind === "hwmon") addHwmon(files, options, sensor, source.path);
    if (source.kind === "one-wire") addOneWire(files, options, sensor, source.path);
  }
  const { tachometer } = options.spec;
  if (tachometer?.kind === "hwmon") {
    files.set(tachometer.path, () => `${tachRpm(options)}\n`);
    files.set(`${dirname(tachometer.path)}/name`, () => "pwmfan\n");
  }
  const paths = [...devices.map((name) => `/dev/${name}`), ...files.keys()];
  return {
    readText: async (path) => {
      options.gate.pass("open");
      const file = files.get(path);
      if (file === undefined) throw systemError("ENOENT", "open");
      return file();
    },
    list: async (path) => {
      options.gate.pass("scandir");
      const below = paths.filter((known) => known.startsWith(`${path}/`)).map((known) => known.slice(path.length + 1));
      if (below.length === 0) throw systemError("ENOENT", "scandir");
      return [...new Set(below.map((name) => name.replace(/\/.*/, "")))].toSorted();
    },
  };
}

function tachRpm(options: KernelFilesOptions): number {
  options.feedpoint.advance();
  const lost = options.faults.find("tach lead lost") !== null;
  const noise = options.faults.find("tach noise")?.edgesPerSecond ?? 0;
  return Math.round((lost ? 0 : options.feedpoint.fan.rpm) + noise * 30);
}

function addHwmon(files: Map<string, KernelFile>, options: KernelFilesOptions, sensor: SensorSpec, path: string): void {
  const probe = options.probeOf(sensor);
  files.set(path, () => {
    if (options.faults.ofPart("chip silent", sensor.name) !== null) throw systemError("EREMOTEIO", "read");
    if (options.faults.ofPart("garbage bytes", sensor.name) !== null) return "\u0000?\n";
    if (options.faults.ofPart("power-on value", sensor.name) !== null) return "0\n";
    return `${Math.round(Math.round(probe.celsius() * 16) * 62.5)}\n`;
  });
  files.set(`${dirname(path)}/name`, () => "lm75\n");
}

function addOneWire(
  files: Map<string, KernelFile>,
  options: KernelFilesOptions,
  sensor: SensorSpec,
  path: string,
): void {
  const folder = /\/(w1_slave|temperature)$/.test(path) ? dirname(path) : path;
  const probe = options.probeOf(sensor);
  const { faults, random, clock } = options;
  async function scratchpad(): Promise<number[]> {
    await new Promise<void>((resolve) => {
      clock.after(ONE_WIRE_SECONDS, resolve);
    });
    if (faults.ofPart("chip silent", sensor.name) !== null) throw systemError("EIO", "read");
    const reset = faults.ofPart("power-on value", sensor.name) !== null;
    const sixteenths = reset ? POWER_ON_SIXTEENTHS : Math.round(Math.min(125, Math.max(-55, probe.celsius())) * 16);
    // Byte 6 is 0Ch after power-on; a conversion leaves the rest of its count there.
    const count = reset ? 0x0c : 0x10 - (sixteenths & 0x0f);
    // Temperature, alarm limits, configuration for twelve bits, three reserved bytes.
    const bytes = [sixteenths & 0xff, (sixteenths >> 8) & 0xff, 0x4b, 0x46, 0x7f, 0xff, count, 0x10];
    const whole = [...bytes, dallasChecksum(bytes)];
    if (faults.ofPart("checksum wrong", sensor.name) !== null) whole[0]! ^= 0x24;
    if (faults.ofPart("garbage bytes", sensor.name) !== null) return whole.map(() => random.below(256));
    return whole;
  }
  files.set(`${folder}/w1_slave`, async () => {
    const bytes = await scratchpad();
    const hex = bytes.map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
    const right = dallasChecksum(bytes.slice(0, 8)) === bytes[8];
    const crc = `crc=${hex.slice(-2)} ${right ? "YES" : "NO"}`;
    return `${hex} : ${crc}\n${hex} t=${milliCelsius(bytes)}\n`;
  });
  files.set(`${folder}/temperature`, async () => {
    const bytes = await scratchpad();
    if (dallasChecksum(bytes.slice(0, 8)) !== bytes[8]) throw systemError("EIO", "read");
    return `${milliCelsius(bytes)}\n`;
  });
  files.set(`${folder}/name`, () => `${basename(folder)}\n`);
}

function milliCelsius(bytes: readonly number[]): number {
  const raw = ((bytes[1]! << 8) | bytes[0]!) << 16;
  return Math.trunc(((raw >> 16) * 1000) / 16);
}

/** CRC-8 of the 1-wire standard: polynomial x⁸ + x⁵ + x⁴ + 1, least significant bit first, start value 0 (application note 27). */
export function dallasChecksum(bytes: readonly number[]): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc >> 1) ^ ((crc & 1) !== 0 ? 0x8c : 0);
  }
  return crc;
}
