// What there is: each I2C bus with the chips that said who they are, the kernel's own thermometers. It asks only at addresses
// where a chip of ours may sit, one after the other with a deadline each, and it never waits for a bus that is stuck.
import { CANDIDATE_ADDRESSES, CANDIDATES, type ChipKind, USUAL_ADDRESSES } from "./candidates.ts";
import { fitChip } from "./chips/chip.ts";
import { pause } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { I2cBus } from "./i2c.ts";
import { type KernelThermometer, kernelThermometers } from "./kernel/found.ts";
import { placeOfAddress, placeOfBus } from "./place.ts";
import type { Board, SensorSpec, TemperatureSensor } from "./ports.ts";
import { thermometer } from "./thermometers.ts";

/** Something that answered at an address. */
export type FoundChip = {
  readonly bus: number;
  readonly address: number;
  readonly place: string;
  /** Null = something answers that is none of the chips known here, or that a driver of the kernel holds. */
  readonly chip: (ChipKind & { readonly certain: boolean }) | null;
  /** What it said of itself, for a person. */
  readonly says: string;
};

/** One bus; `trouble` = why it could not be asked at all, or stopped answering. */
export type SurveyedBus = {
  readonly bus: number;
  readonly place: string;
  readonly chips: readonly FoundChip[];
  readonly trouble: HardwareError | null;
};

export type Survey = {
  readonly buses: readonly SurveyedBus[];
  readonly kernel: readonly KernelThermometer[];
};

/** A thermometer, wherever it hangs, as a configuration would name it. */
export type FoundThermometer = { readonly source: SensorSpec["source"]; readonly place: string; readonly says: string };

/** Longest wait for one address, s: some adapters take a third of a second for an address that is absent. */
const ADDRESS_SECONDS = 0.4;
/** Refusals in a row after which a bus is left alone: it is stuck, and every further address would only cost time. */
const REFUSALS = 4;

/** Looks at every bus and file there is. Rejects with nothing: what goes wrong is part of the answer. */
export async function surveyBoard(board: Board): Promise<Survey> {
  const numbers = await busNumbers(board);
  // Buses are wires of their own; within one, addresses take turns.
  const buses = await Promise.all(numbers.map((bus) => surveyBus(board, bus)));
  return { buses, kernel: await kernelThermometers(board) };
}

/** The numbers of `/dev/i2c-*`, ascending; empty where the interface is not enabled. */
async function busNumbers(board: Board): Promise<readonly number[]> {
  const names = await board.list("/dev").catch(() => []);
  return names
    .flatMap((name) => /^i2c-(\d{1,3})$/.exec(name)?.slice(1) ?? [])
    .map(Number)
    .toSorted((a, b) => a - b);
}

/** Every thermometer of a survey, chips first. */
export function thermometersOf({ buses, kernel }: Survey): readonly FoundThermometer[] {
  const chips = buses.flatMap(({ chips: found }) =>
    found.flatMap(({ chip, bus, address, place, says }): FoundThermometer[] =>
      chip?.kind === "thermometer" ? [{ source: { kind: "i2c", chip: chip.chip, bus, address }, place, says }] : [],
    ),
  );
  return [...chips, ...kernel];
}

/** Drivers of found thermometers, named by their places, with what closes them. */
export function openThermometers(
  board: Board,
  found: readonly FoundThermometer[],
): { readonly sensors: readonly TemperatureSensor[]; close(): Promise<void> } {
  const buses = new Map<number, I2cBus>();
  const deviceAt = (number: number, address: number) => {
    const bus = buses.get(number) ?? openBus(board, number, 2);
    buses.set(number, bus);
    return bus.device(address);
  };
  const sensors = found.map(({ source, place }) =>
    thermometer({ name: place, role: "ambient", source }, board, deviceAt),
  );
  return {
    sensors,
    close: async () => {
      await Promise.allSettled([...buses.values()].map((bus) => bus.close()));
    },
  };
}

const openBus = (board: Board, bus: number, retries: number): I2cBus =>
  new I2cBus({ bus, clock: board.clock, open: () => board.i2c(bus), attemptSeconds: ADDRESS_SECONDS, retries });

/** Nothing more can be had from a bus after one of these. */
const FINAL: ReadonlySet<string> = new Set(["BUS_MISSING", "PERMISSION", "PACKAGE_MISSING", "CLOSED"]);

/** On a slow board the first transfers may be late for no fault of the bus, s. */
const BUSY_SECONDS = 1;
const MUTE: ReadonlySet<string> = new Set(["TIMEOUT", "BUS_STUCK"]);

async function surveyBus(board: Board, number: number): Promise<SurveyedBus> {
  try {
    // Whatever has to be loaded for it takes no time from the first address.
    await (await board.i2c(number)).close();
  } catch (cause) {
    const place = placeOfBus(number);
    return { bus: number, place, chips: [], trouble: fromErrno(cause, place, "i2c") };
  }
  const found = await askBus(board, number);
  if (found.chips.length > 0 || found.trouble === null || !MUTE.has(found.trouble.code)) return found;
  await pause(board.clock, BUSY_SECONDS);
  return askBus(board, number);
}

async function askBus(board: Board, number: number): Promise<SurveyedBus> {
  const chips: FoundChip[] = [];
  let bus = openBus(board, number, 0);
  let trouble: HardwareError | null = null;
  let refusals = 0;
  for (const [index, address] of CANDIDATE_ADDRESSES.entries()) {
    // A bus that answered is not stuck. Where its adapter says nothing of an absent address, and takes its time for that, asking at
    // the usual ones is enough.
    if (refusals >= REFUSALS && (chips.length === 0 || index >= USUAL_ADDRESSES.length)) break;
    try {
      const found = await askAddress(bus, number, address);
      if (found !== null) chips.push(found);
      trouble = null;
      refusals = 0;
    } catch (cause) {
      trouble = fromErrno(cause, placeOfBus(number), "i2c");
      refusals += 1;
      if (FINAL.has(trouble.code)) break;
      if (chips.length === 0) continue;
      // A bus that has counted refusals would not ask again for a while.
      await bus.close().catch(() => undefined);
      bus = openBus(board, number, 0);
    }
  }
  const [known] = chips;
  if (trouble !== null && known !== undefined) trouble = await answers(bus, known.address);
  await bus.close().catch(() => undefined);
  return { bus: number, place: placeOfBus(number), chips: chips.toSorted((a, b) => a.address - b.address), trouble };
}

/** Null where an address that answered before still does. */
async function answers(bus: I2cBus, address: number): Promise<HardwareError | null> {
  try {
    await bus.device(address).read(1);
    return null;
  } catch (cause) {
    const error = fromErrno(cause, bus.place, "i2c");
    return error.code === "ADDRESS_BUSY" || error.code === "NACK" ? null : error;
  }
}

/** Who is at an address; null = nobody. Rejects when the bus itself is in trouble. */
async function askAddress(bus: I2cBus, number: number, address: number): Promise<FoundChip | null> {
  const device = bus.device(address);
  const place = placeOfAddress(number, address);
  const found = (chip: FoundChip["chip"], says: string): FoundChip => ({ bus: number, address, place, chip, says });
  const answer = await device.read(1).then(
    () => "yes" as const,
    (cause: unknown) => fromErrno(cause, place, "i2c"),
  );
  if (answer !== "yes") {
    if (answer.code === "ADDRESS_BUSY") return found(null, answer.words);
    if (!ABSENT.has(answer.code) && answer.code !== "TIMEOUT") throw answer;
  }
  for (const { driver, low, high, certain, quiet = false, ...kind } of CANDIDATES) {
    if (address < low || address > high || (answer !== "yes" && !quiet)) continue;
    try {
      return found({ ...kind, certain }, await fitChip(driver, place, device).identify());
    } catch (cause) {
      if (!(cause instanceof HardwareError)) throw cause;
    }
  }
  if (answer === "yes") return found(null, "something answers that is none of the chips known here");
  if (answer.code === "TIMEOUT") throw answer;
  return null;
}

/** What a missing acknowledge looks like; some adapters call it an input/output error. */
const ABSENT: ReadonlySet<string> = new Set(["NACK", "IO"]);
