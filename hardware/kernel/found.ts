// The thermometers that drivers of the kernel offer on this machine: hwmon and 1-wire, each with a path that a configuration can name.
// It reads names only, no temperature, and passes over those of the computer itself.
import type { Board, SensorSpec } from "../ports.ts";
import { familyName } from "./one-wire.ts";

/** A thermometer of the kernel. */
export type KernelThermometer = {
  readonly source: SensorSpec["source"];
  readonly place: string;
  /** The driver's or the chip's name, for a person. */
  readonly says: string;
};

const HWMON_FOLDER = "/sys/class/hwmon";
export const ONE_WIRE_FOLDER = "/sys/bus/w1/devices";
const I2C_FOLDER = "/sys/bus/i2c/devices";

/** Drivers of the computer's own temperatures, which say nothing of a box at the end of a cable. */
const OWN = new Set(["cpu_thermal", "rp1_adc", "nvme", "coretemp", "k10temp", "acpitz", "drivetemp"]);

/** All there are. Rejects with nothing: a folder that is not there holds none. */
export async function kernelThermometers(board: Board): Promise<readonly KernelThermometer[]> {
  return [...(await hwmonThermometers(board)), ...(await oneWireThermometers(board))];
}

/** Names in a folder; none where there is no such folder. */
const namesIn = (board: Board, folder: string): Promise<readonly string[]> => board.list(folder).catch(() => []);

async function hwmonThermometers(board: Board): Promise<readonly KernelThermometer[]> {
  const steady = await steadyFolders(board);
  const found: KernelThermometer[] = [];
  for (const device of await namesIn(board, HWMON_FOLDER)) {
    const folder = `${HWMON_FOLDER}/${device}`;
    const driver = (await board.readText(`${folder}/name`).catch(() => "unknown")).trim();
    if (OWN.has(driver)) continue;
    for (const file of await namesIn(board, folder)) {
      if (!/^temp\d+_input$/.test(file)) continue;
      const path = `${steady.get(device) ?? folder}/${file}`;
      found.push({ source: { kind: "hwmon", path }, place: path, says: `kernel driver ${driver}` });
    }
  }
  return found;
}

/** hwmon devices are numbered anew at each boot; below the bus they hang on, a path with `*` stays the same. */
async function steadyFolders(board: Board): Promise<ReadonlyMap<string, string>> {
  const steady = new Map<string, string>();
  for (const device of await namesIn(board, I2C_FOLDER)) {
    if (!/^\d+-[0-9a-f]{4}$/.test(device)) continue;
    for (const name of await namesIn(board, `${I2C_FOLDER}/${device}/hwmon`)) {
      steady.set(name, `${I2C_FOLDER}/${device}/hwmon/hwmon*`);
    }
  }
  return steady;
}

async function oneWireThermometers(board: Board): Promise<readonly KernelThermometer[]> {
  return (await namesIn(board, ONE_WIRE_FOLDER)).flatMap((device) => {
    const chip = familyName(device);
    const path = `${ONE_WIRE_FOLDER}/${device}`;
    return chip === null ? [] : [{ source: { kind: "one-wire" as const, path }, place: path, says: chip }];
  });
}
