// SHT3x and SHT4x humidity and temperature chips at command level (Sensirion data sheets): measure, wait, read two words with
// their checksums, serial number, soft reset. Between command and result the chip does not acknowledge a read.

import type { BusDevice, Probe } from "./device.ts";

/** A probe that also feels humidity, as a ratio 0–1. */
export type ClimateProbe = Probe & { readonly humidityRatio: () => number };

/** CRC-8 with polynomial 0x31 and start value 0xff over two bytes, as both families use. */
export function checksum(high: number, low: number): number {
  let crc = 0xff;
  for (const byte of [high, low]) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = ((crc << 1) ^ ((crc & 0x80) !== 0 ? 0x31 : 0)) & 0xff;
  }
  return crc;
}

const framed = (value: number): number[] => {
  const high = (value >> 8) & 0xff;
  const low = value & 0xff;
  return [high, low, checksum(high, low)];
};

const ticks = (share: number): number => Math.min(0xffff, Math.max(0, Math.round(share * 65535)));
const temperatureTicks = (celsius: number): number => ticks((celsius + 45) / 175);

/** What a command does: takes `seconds`; then `answer` may be read, if it has one; `act` happens at once. */
type Command = { readonly seconds: number; readonly answer?: () => number[]; readonly act?: () => void };

function commandDevice(now: () => number, codeLength: 1 | 2, commands: ReadonlyMap<number, Command>): BusDevice {
  let answer: (() => number[]) | null = null;
  let readyAtSeconds = 0;
  return {
    write(bytes) {
      const code = codeLength === 2 ? ((bytes[0] ?? 0) << 8) | (bytes[1] ?? 0) : (bytes[0] ?? 0);
      const command = commands.get(code);
      if (command === undefined) return;
      command.act?.();
      answer = command.answer ?? null;
      readyAtSeconds = now() + command.seconds;
    },
    read(length) {
      if (answer === null || now() + 1e-9 < readyAtSeconds) return null;
      const bytes = answer();
      answer = null;
      return Uint8Array.from({ length }, (_, at) => bytes[at] ?? 0xff);
    },
  };
}

/** An SHT3x that has just been powered: two-byte commands. */
export function sht3x(probe: ClimateProbe, serialNumber = 0x0a1b_2c3d): BusDevice {
  let status = 0x8010;
  const measure = (): number[] => [
    ...framed(temperatureTicks(probe.celsius())),
    ...framed(ticks(Math.min(1, Math.max(0, probe.humidityRatio())))),
  ];
  const serial = (): number[] => [...framed(serialNumber >>> 16), ...framed(serialNumber & 0xffff)];
  const commands = new Map<number, Command>([
    [0x2400, { seconds: 0.0155, answer: measure }],
    [0x240b, { seconds: 0.0065, answer: measure }],
    [0x2416, { seconds: 0.0045, answer: measure }],
    [0x2c06, { seconds: 0.0155, answer: measure }],
    [0x2c0d, { seconds: 0.0065, answer: measure }],
    [0x2c10, { seconds: 0.0045, answer: measure }],
    [0xf32d, { seconds: 0, answer: () => framed(status) }],
    [0x3780, { seconds: 0.001, answer: serial }],
    [0x3682, { seconds: 0.001, answer: serial }],
    [
      0x30a2,
      {
        seconds: 0.0015,
        act: () => {
          status = 0x8010;
        },
      },
    ],
    [
      0x3041,
      {
        seconds: 0.001,
        act: () => {
          status = 0;
        },
      },
    ],
  ]);
  return commandDevice(probe.now, 2, commands);
}

/** An SHT4x that has just been powered: one-byte commands, and a humidity scale that runs a little past both ends. */
export function sht4x(probe: ClimateProbe, serialNumber = 0x0f4a_5b6c): BusDevice {
  const measure = (): number[] => [
    ...framed(temperatureTicks(probe.celsius())),
    ...framed(ticks((100 * probe.humidityRatio() + 6) / 125)),
  ];
  const serial = (): number[] => [...framed(serialNumber >>> 16), ...framed(serialNumber & 0xffff)];
  const commands = new Map<number, Command>([
    [0xfd, { seconds: 0.0083, answer: measure }],
    [0xf6, { seconds: 0.0045, answer: measure }],
    [0xe0, { seconds: 0.0016, answer: measure }],
    [0x89, { seconds: 0.001, answer: serial }],
    [0x94, { seconds: 0.001 }],
  ]);
  return commandDevice(probe.now, 1, commands);
}
