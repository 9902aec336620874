// What stands in for a part that could not be opened: every call rejects with the error of the opening, so that the daemon
// comes up with what works and shows what does not. It never pretends to measure or to hold a line.
import type { HardwareError } from "./errors.ts";
import type { PermitRelay, PttLine, Tachometer } from "./ports.ts";

/** A tachometer whose line could not be opened. */
export function failedTachometer(error: HardwareError): Tachometer {
  return {
    name: "tachometer",
    part: "tach line",
    place: error.place,
    identify: () => Promise.reject(error),
    read: () => Promise.reject(error),
    onQuiet: () => () => undefined,
  };
}

/** A PTT line that could not be opened; closing it is harmless. */
export function failedPttLine(error: HardwareError): PttLine {
  return {
    name: "ptt",
    part: "PTT line",
    place: error.place,
    identify: () => Promise.reject(error),
    read: () => Promise.reject(error),
    close: () => Promise.resolve(),
  };
}

/** A relay whose lines could not be opened; closing it is harmless. */
export function failedRelay(error: HardwareError): PermitRelay {
  return {
    place: error.place,
    permit: () => Promise.reject(error),
    readBack: () => Promise.reject(error),
    close: () => Promise.resolve(),
  };
}
