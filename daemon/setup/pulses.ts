// Listens on a tach line for a moment: does a fan turn there, and how fast? It gives the line back afterwards.

import { pause } from "../../hardware/clock.ts";
import { fromErrno } from "../../hardware/errno.ts";
import type { HardwareError } from "../../hardware/errors.ts";
import type { Board, HardwareSpec } from "../../hardware/ports.ts";
import { openTachometer } from "../../hardware/tachometer.ts";

type GpioTach = Extract<NonNullable<HardwareSpec["tachometer"]>, { kind: "gpio" }>;

/** What was heard. */
export type Heard =
  | { readonly kind: "turns"; readonly rpm: number }
  | { readonly kind: "quiet" }
  | { readonly kind: "noise"; readonly rejectedEdges: number }
  | { readonly kind: "fault"; readonly error: HardwareError };

/** A fan that turns is heard well within this, s. */
const LISTEN_SECONDS = 4;
const LOOK_SECONDS = 0.25;
/** A speed this regular is believed at once. */
const SURE_REGULARITY = 0.9;

/** Rejects with nothing that the world does wrong. */
export async function listenForFan(spec: GpioTach, board: Board): Promise<Heard> {
  try {
    const tachometer = await openTachometer(spec, board);
    try {
      const untilSeconds = board.clock.monotonicSeconds() + LISTEN_SECONDS;
      for (;;) {
        await pause(board.clock, LOOK_SECONDS);
        const { rpm, regularity, rejectedEdges } = await tachometer.read();
        const over = board.clock.monotonicSeconds() >= untilSeconds;
        if (rpm !== null && rpm > 0 && (over || (regularity ?? 0) >= SURE_REGULARITY)) return { kind: "turns", rpm };
        if (over) return rpm === null ? { kind: "noise", rejectedEdges } : { kind: "quiet" };
      }
    } finally {
      await tachometer.close();
    }
  } catch (cause) {
    return { kind: "fault", error: fromErrno(cause, "tach line", "line") };
  }
}
