// The transmitter's PTT line as an input: keyed or not at this moment, by the pin's level. It counts no edges, so neither contact
// bounce nor RF on the line can flood it; what keying means is not its business.
import { withDeadline } from "./clock.ts";
import { placeOfLine } from "./place.ts";
import type { Board, HardwareSpec, PttLine } from "./ports.ts";

/** Longest read of the line's level, s. */
const READ_SECONDS = 0.2;

/** Opens the line. Rejects with the line's HardwareError. */
export async function openPttLine(spec: NonNullable<HardwareSpec["ptt"]>, board: Board): Promise<PttLine> {
  const place = placeOfLine(spec.line);
  // A broken wire reads as not keyed.
  const line = await board.edgeLine(spec.line, spec.keyedLevel === 0 ? "pull-up" : "pull-down");
  const level = (): Promise<0 | 1> => withDeadline(board.clock, READ_SECONDS, place, line.read());
  return {
    name: "ptt",
    part: "PTT line",
    place,
    identify: async () => {
      await level();
      return `keyed when ${spec.keyedLevel === 1 ? "high" : "low"}`;
    },
    read: async () => ({ keyed: (await level()) === spec.keyedLevel }),
    close: () => line.close(),
  };
}
