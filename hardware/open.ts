// Configuration → Hardware: everything is opened and identified, and everything that is wrong is reported, not only the
// first. A part that fails stays in the Hardware and reads bad. It never decides whether the daemon may go on; `fit` says.

import { openBuzzer } from "./buzzer.ts";
import { ads1115 } from "./chips/ads1115.ts";
import { fitChip } from "./chips/chip.ts";
import { ina219 } from "./chips/ina219.ts";
import { ina226 } from "./chips/ina226.ts";
import { withDeadline } from "./clock.ts";
import { openDrivenLine } from "./driven-line.ts";
import { fromErrno } from "./errno.ts";
import type { HardwareError, HardwareErrorCode } from "./errors.ts";
import { failedPttLine, failedRelay, failedTachometer } from "./failed-part.ts";
import { I2cBus, type I2cDevice } from "./i2c.ts";
import { hwmonTachometer } from "./kernel/hwmon.ts";
import { placeOfLine } from "./place.ts";
import type { Board, Hardware, HardwareSpec, LineSpec, Part, PermitRelay, PttLine, Tachometer } from "./ports.ts";
import { openPttLine } from "./ptt-line.ts";
import { openRelay } from "./relay.ts";
import { openTachometer } from "./tachometer.ts";
import { thermometer } from "./thermometers.ts";

/**
 * Longest opening of a line, s. udev hands over the pin's files, and while a slow board boots it has much else to do: 3 s were
 * too short there, and without its relay the daemon does not start. Nothing is permitted meanwhile, so patience costs nothing.
 */
const OPEN_SECONDS = 10;

/** One thing that is wrong with one part. */
export type OpenFault = {
  /** The part's name in the feedpoint: a sensor's name, `tachometer`, `supply`, `drive`, `ptt`, `relay`. */
  readonly name: string;
  readonly place: string;
  readonly code: HardwareErrorCode;
  /** `fatal`: the daemon must not run so. `degraded`: it runs, the part reads bad until it answers. */
  readonly severity: "fatal" | "degraded";
  /** One line: place, what is wrong, detail. */
  readonly message: string;
  /** The same for somebody who sees the place already. */
  readonly words: string;
  /** One sentence: what to do about it. */
  readonly remedy: string;
};

/** What a part that answered said of itself. */
export type PartIdentity = { readonly name: string; readonly place: string; readonly identity: string };

/** Everything opened, good or not, with everything that is wrong. `run` goes on only when `fit`; `check` shows all. */
export type OpenResult = {
  /** Complete also when parts failed: those reject on every call with their code. Close it in any case. */
  readonly hardware: Hardware;
  readonly identities: readonly PartIdentity[];
  readonly faults: readonly OpenFault[];
  /** False when a fault is fatal. */
  readonly fit: boolean;
};

/**
 * Opens and identifies every part of `spec` on `board`; the relay comes first, so that its lines are released before
 * anything else can take time. The Hardware owns the board and closes it. Throws RangeError for a spec that no
 * configuration can mean (a reserved address, a shunt of 0 Ω); everything that the world does wrong is a fault.
 */
export async function openHardware(spec: HardwareSpec, board: Board): Promise<OpenResult> {
  const faults: OpenFault[] = [];
  const identities: PartIdentity[] = [];
  const buses = new Map<number, I2cBus>();
  const deviceAt = (number: number, address: number): I2cDevice => {
    const bus = buses.get(number) ?? new I2cBus({ bus: number, clock: board.clock, open: () => board.i2c(number) });
    buses.set(number, bus);
    return bus.device(address);
  };

  const temperatures = spec.sensors.map((sensor) => thermometer(sensor, board, deviceAt));
  const supply =
    spec.supply && fitChip(supplyChip(spec.supply), "supply", deviceAt(spec.supply.bus, spec.supply.address));
  const drive = spec.drive && fitChip(driveChip(spec.drive), "drive", deviceAt(spec.drive.bus, spec.drive.address));
  const relay = spec.relay && (await openedRelay(spec.relay, board, faults));
  const tachometer = spec.tachometer && (await openedTachometer(spec.tachometer, board, faults));
  const ptt = spec.ptt && (await openedPttLine(spec.ptt, board, faults));

  const extra = <T>(name: string, line: LineSpec | null, open: (line: LineSpec, board: Board) => Promise<T>) =>
    line === null ? null : openedExtra(name, line, open, board, faults);
  const buzzer = await extra("buzzer", spec.buzzer, openBuzzer);
  const fanCut = await extra("fan_cut", spec.fanCut, openDrivenLine);
  const pulse = await extra("pulse", spec.pulse, openDrivenLine);

  const parts: Part<unknown>[] = [...temperatures];
  for (const part of [supply, drive, tachometer, ptt]) if (part !== null) parts.push(part);
  const known = new Set(faults.map((fault) => fault.name));
  await identifyAll(
    parts.filter((part) => !known.has(part.name)),
    identities,
    faults,
  );
  if (relay !== null && !known.has("relay")) {
    identities.push({ name: "relay", place: relay.place, identity: "both lines released and read back" });
  }

  const hardware: Hardware = {
    simulated: board.simulated,
    clock: board.clock,
    temperatures,
    tachometer,
    supply,
    drive,
    ptt,
    relay,
    buzzer,
    fanCut,
    pulse,
    buses: () => [...buses.values()].map((bus) => bus.health()),
    close: () =>
      closeAll([
        relay,
        buzzer,
        fanCut,
        pulse,
        ptt,
        ...(isClosable(tachometer) ? [tachometer] : []),
        ...buses.values(),
        board,
      ]),
  };
  return { hardware, identities, faults, fit: faults.every((fault) => fault.severity !== "fatal") };
}

function supplyChip(spec: NonNullable<HardwareSpec["supply"]>): ReturnType<typeof ina219> {
  switch (spec.chip) {
    case "ina219":
      return ina219(spec.shuntOhms);
    case "ina226":
      return ina226(spec.shuntOhms);
  }
}

function driveChip(spec: NonNullable<HardwareSpec["drive"]>): ReturnType<typeof ads1115> {
  return ads1115(spec.forwardChannel, spec.reflectedChannel);
}

/** Without its relay the daemon can watch but not act, and would not know it: that is fatal. */
async function openedRelay(
  spec: NonNullable<HardwareSpec["relay"]>,
  board: Board,
  faults: OpenFault[],
): Promise<PermitRelay> {
  const place = `${placeOfLine(spec.reduce)}, ${placeOfLine(spec.inhibit)}`;
  try {
    return await withDeadline(board.clock, OPEN_SECONDS, place, openRelay(spec, board));
  } catch (cause) {
    const error = fromErrno(cause, place, "line");
    faults.push(faultOf("relay", error, "fatal"));
    return failedRelay(error);
  }
}

/** A feedpoint without its buzzer, or another line of this kind, is still watched; the operator is told that it will not act. */
async function openedExtra<T>(
  name: string,
  spec: LineSpec,
  open: (line: LineSpec, board: Board) => Promise<T>,
  board: Board,
  faults: OpenFault[],
): Promise<T | null> {
  const place = placeOfLine(spec);
  try {
    return await withDeadline(board.clock, OPEN_SECONDS, place, open(spec, board));
  } catch (cause) {
    faults.push(faultOf(name, fromErrno(cause, place, "line"), "degraded"));
    return null;
  }
}

async function openedTachometer(
  spec: NonNullable<HardwareSpec["tachometer"]>,
  board: Board,
  faults: OpenFault[],
): Promise<Tachometer> {
  if (spec.kind === "hwmon") return hwmonTachometer(spec.path, board);
  const place = placeOfLine(spec.line);
  try {
    return await withDeadline(board.clock, OPEN_SECONDS, place, openTachometer(spec, board));
  } catch (cause) {
    if (cause instanceof RangeError) throw cause;
    const error = fromErrno(cause, place, "line");
    faults.push(faultOf("tachometer", error, "degraded"));
    return failedTachometer(error);
  }
}

async function openedPttLine(
  spec: NonNullable<HardwareSpec["ptt"]>,
  board: Board,
  faults: OpenFault[],
): Promise<PttLine> {
  const place = placeOfLine(spec.line);
  try {
    return await withDeadline(board.clock, OPEN_SECONDS, place, openPttLine(spec, board));
  } catch (cause) {
    const error = fromErrno(cause, place, "line");
    faults.push(faultOf("ptt", error, "degraded"));
    return failedPttLine(error);
  }
}

/** One after the other on each wire, so that a part that does not answer takes no time from its neighbours; wires in parallel. */
async function identifyAll(
  parts: readonly Part<unknown>[],
  identities: PartIdentity[],
  faults: OpenFault[],
): Promise<void> {
  const byWire = new Map<string, Part<unknown>[]>();
  for (const part of parts) {
    const wire = /^i2c-\d+/.exec(part.place)?.[0] ?? part.place;
    byWire.set(wire, [...(byWire.get(wire) ?? []), part]);
  }
  await Promise.all(
    [...byWire.values()].map(async (wire) => {
      for (const part of wire) {
        try {
          identities.push({ name: part.name, place: part.place, identity: await part.identify() });
        } catch (cause) {
          faults.push(faultOf(part.name, fromErrno(cause, part.place, "file"), "degraded"));
        }
      }
    }),
  );
}

function faultOf(name: string, error: HardwareError, severity: OpenFault["severity"]): OpenFault {
  const { place, code, message, words, remedy } = error;
  return { name, place, code, severity, message, words, remedy };
}

type Closable = { close(): Promise<void> };

function isClosable(part: Tachometer | null): part is Tachometer & Closable {
  return part !== null && "close" in part;
}

/** In order, each whatever became of the one before; the first failure is reported at the end. */
async function closeAll(parts: readonly (Closable | null)[]): Promise<void> {
  const errors: unknown[] = [];
  for (const part of parts) await part?.close().catch((error: unknown) => errors.push(error));
  if (errors.length > 0) throw errors[0];
}
