// skeleton
import type { Board } from "./ports.ts";

export type RealBoardOptions = {
  /** Put before every absolute path of the kernel; empty on a real machine. */
  readonly root?: string;
  /** File that lists the value files of open outputs, for the unit's release step; none = not written. */
  readonly outputRecord?: string;
};

/** This machine's own buses and lines, on `i2c-bus` and `onoff`. */
export function realBoard(_options: RealBoardOptions = {}): Promise<Board> {
  throw new Error("to be filled in");
}
