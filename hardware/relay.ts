// The two permit lines: energised = permitted, released from the moment they are opened until they are first permitted.
// It never holds a line on its own account; whatever fails, the other line is still driven.
import { withDeadline } from "./clock.ts";
import { fromErrno } from "./errno.ts";
import { HardwareError } from "./errors.ts";
import { Lane } from "./lane.ts";
import { placeOfLine } from "./place.ts";
import type { Board, Clock, HardwareSpec, LineSpec, OutputLine, PermitRelay, Permits } from "./ports.ts";

/** Where the two lines are wired. */
export type RelaySpec = NonNullable<HardwareSpec["relay"]>;

/** Longest time for one write or read of a line, s. */
const LINE_SECONDS = 0.2;

/** A line that refuses to be released is asked again at once, so often in all; a call that hangs is not. */
const RELEASE_TRIES = 3;

/** One permit line with its name and place. */
type PermitLine = { readonly name: "reduce" | "inhibit"; readonly place: string; readonly output: OutputLine };

/**
 * Opens both lines released and reads that back. Rejects with HardwareError; a line that was opened is released and
 * given back before it does.
 */
export async function openRelay(spec: RelaySpec, board: Board): Promise<PermitRelay> {
  if (isSameLine(spec.reduce, spec.inhibit)) {
    throw new HardwareError("LINE_BUSY", placeOfLine(spec.reduce), "reduce and inhibit need a line each");
  }
  // Both are opened whatever becomes of the other: opening is what releases a line that a crash left energised.
  const outcomes = await Promise.allSettled(
    (["reduce", "inhibit"] as const).map(async (name) => ({
      name,
      place: placeOfLine(spec[name]),
      output: await board.outputLine(spec[name]),
    })),
  );
  const opened = outcomes.flatMap((outcome) => (outcome.status === "fulfilled" ? [outcome.value] : []));
  try {
    const failed = outcomes.find((outcome) => outcome.status === "rejected");
    if (failed !== undefined) throw failed.reason;
    const relay = new LinePermitRelay(opened, board.clock);
    const { reduce, inhibit } = await relay.readBack();
    if (reduce || inhibit) throw new HardwareError("READBACK", relay.place, "energised right after it was released");
    return relay;
  } catch (cause) {
    await Promise.allSettled(opened.map((line) => line.output.close()));
    throw cause;
  }
}

class LinePermitRelay implements PermitRelay {
  readonly place: string;
  readonly #lines: readonly PermitLine[];
  readonly #clock: Clock;
  readonly #lane: Lane;
  #closed = false;

  constructor(lines: readonly PermitLine[], clock: Clock) {
    this.#lines = lines;
    this.#clock = clock;
    this.place = lines.map((line) => line.place).join(", ");
    this.#lane = new Lane(this.place);
  }

  async permit(lines: Permits): Promise<void> {
    if (this.#closed) throw new HardwareError("CLOSED", this.place);
    await this.#lane.run(() => this.#drive(lines));
  }

  async readBack(): Promise<Permits> {
    if (this.#closed) throw new HardwareError("CLOSED", this.place);
    const levels = { reduce: false, inhibit: false };
    await Promise.all(
      this.#lines.map(async (line) => {
        levels[line.name] = (await this.#bounded(line, line.output.read())) === 1;
      }),
    );
    return levels;
  }

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    const errors: unknown[] = [];
    await this.#lane.run(() => this.#drive({ reduce: false, inhibit: false })).catch((error) => errors.push(error));
    for (const line of this.#lines) {
      await this.#bounded(line, line.output.close()).catch((error) => errors.push(error));
    }
    if (errors.length > 0) throw errors[0];
  }

  /** Releases first, then energises; both lines are tried before the first failure is reported. */
  async #drive(lines: Permits): Promise<void> {
    const ordered = this.#lines.toSorted((a, b) => Number(lines[a.name]) - Number(lines[b.name]));
    const outcomes: PromiseSettledResult<void>[] = [];
    for (const line of ordered) {
      const written = lines[line.name] ? this.#bounded(line, line.output.write(1)) : this.#release(line);
      outcomes.push(...(await Promise.allSettled([written])));
    }
    const failed = outcomes.find((outcome) => outcome.status === "rejected");
    if (failed !== undefined) throw failed.reason;
  }

  async #release(line: PermitLine): Promise<void> {
    for (let tries = 1; ; tries += 1) {
      try {
        return await this.#bounded(line, line.output.write(0));
      } catch (cause) {
        if (tries >= RELEASE_TRIES || !(cause instanceof HardwareError) || cause.code === "TIMEOUT") throw cause;
      }
    }
  }

  async #bounded<T>(line: PermitLine, work: Promise<T>): Promise<T> {
    try {
      return await withDeadline(this.#clock, LINE_SECONDS, line.place, work);
    } catch (cause) {
      throw fromErrno(cause, line.place, "line");
    }
  }
}

/** What became of one line on release; `error` null = it reads released. */
export type ReleasedLine = {
  readonly line: "reduce" | "inhibit";
  readonly place: string;
  readonly error: HardwareError | null;
};

/**
 * Releases both lines whatever held them before, each on its own, and reads them back; never rejects. For a process
 * that comes after the one that died: opening an output drives it low, which is released.
 */
export function releaseLines(spec: RelaySpec, board: Board): Promise<readonly ReleasedLine[]> {
  return Promise.all(
    (["reduce", "inhibit"] as const).map(async (line) => {
      const place = placeOfLine(spec[line]);
      try {
        await release(spec[line], place, board);
        return { line, place, error: null };
      } catch (cause) {
        return { line, place, error: fromErrno(cause, place, "line") };
      }
    }),
  );
}

async function release(spec: LineSpec, place: string, board: Board): Promise<void> {
  const output = await board.outputLine(spec);
  try {
    await withDeadline(board.clock, LINE_SECONDS, place, output.write(0));
    if ((await withDeadline(board.clock, LINE_SECONDS, place, output.read())) !== 0) {
      throw new HardwareError("READBACK", place, "it stays energised");
    }
  } finally {
    await output.close();
  }
}

/** As far as the configuration shows it; one line written in two ways is refused by the board. */
function isSameLine(a: LineSpec, b: LineSpec): boolean {
  return placeOfLine(a) === placeOfLine(b);
}
