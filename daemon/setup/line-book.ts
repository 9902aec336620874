// The GPIO lines of a set-up: which chip they are on, and which are given away. It says what is wrong with a line; it opens none.

import { HardwareError } from "../../hardware/errors.ts";
import { findLine } from "../../hardware/gpio/find-line.ts";
import { isHeaderChip } from "../../hardware/gpio/header-lines.ts";
import type { Board, LineChip, LineSpec } from "../../hardware/ports.ts";
import { type LineFault, lineFault, lineSpec, type WiredLine } from "../config/lines.ts";
import { type LineText, line as lineSchema } from "../config/schema/fields.ts";
import { type DraftKey, draftKey } from "./draft.ts";
import type { Person } from "./person.ts";
import { valueFor, wrongBySchema } from "./questions.ts";

export type LinePath = WiredLine["path"];

export class LineBook {
  readonly #chips: readonly LineChip[];
  readonly #chip: string | undefined;
  readonly #taken: WiredLine[] = [];

  /** `chip`: the label that each line is written with; undefined = they are counted on the header. */
  constructor(chips: readonly LineChip[], chip: string | undefined) {
    this.#chips = chips;
    this.#chip = chip;
  }

  /** Pins of the header mean something here. */
  get countsPins(): boolean {
    return this.#chip === undefined;
  }

  /** What is wrong with an answer; null when it will do. */
  async wrong(path: LinePath, answer: string): Promise<string | LineFault | null> {
    const bySchema = wrongBySchema(lineSchema)(answer);
    if (bySchema !== null) return bySchema;
    const fault = lineFault(this.#wired(path, answer), this.#taken);
    if (fault !== null) return fault;
    if (this.#chips.length === 0) return null;
    try {
      await findLine(this.#chips, this.spec(answer));
      return null;
    } catch (error) {
      if (error instanceof HardwareError) return { expected: "a line that this machine has", got: error.message };
      throw error;
    }
  }

  /** The line as the hardware layer wants it. */
  spec(answer: string): LineSpec {
    return lineSpec(textOf(answer), this.#chip);
  }

  /** Gives a line away; the key for it. */
  take(path: LinePath, answer: string, comment: string | null): DraftKey {
    this.#taken.push(this.#wired(path, answer));
    return draftKey(...path, valueFor(lineSchema, answer), comment);
  }

  /** The chip of each table that has a line, where it is not the header's. */
  chipKeys(): readonly DraftKey[] {
    const chip = this.#chip;
    const tables = new Set(this.#taken.map(({ path }) => path[0]));
    return chip === undefined ? [] : [...tables].map((table) => draftKey(table, "chip", chip, "its GPIO chip's label"));
  }

  #wired(path: LinePath, answer: string): WiredLine {
    return { path, line: textOf(answer), chip: this.#chip };
  }
}

const textOf = (answer: string): LineText => lineSchema.parse(valueFor(lineSchema, answer));

/** Says which chips there are, and asks which one carries the lines where no header does. @throws what the person throws */
export async function openLineBook(board: Board, person: Person, say: (text: string) => void): Promise<LineBook> {
  let chips: readonly LineChip[] = [];
  try {
    chips = await board.lineChips();
  } catch (error) {
    if (!(error instanceof HardwareError)) throw error;
    say(`GPIO: ${error.message}. ${error.remedy}\n`);
  }
  for (const { name, label, lines } of chips) {
    const header = isHeaderChip(label) ? ", the 40-pin header" : "";
    say(`${name}\n  ${label}, lines 0 to ${lines - 1}${header}\n`);
  }
  const labels = chips.map(({ label }) => label);
  if (chips.length === 0 || labels.some(isHeaderChip)) return new LineBook(chips, undefined);
  const [only, another] = labels;
  const chip = await person.ask({
    key: "gpio_chip",
    text: "This board's header is not known here. On which GPIO chip are your lines, by its label",
    fallback: another === undefined ? (only ?? null) : null,
    wrong: (answer) => (labels.includes(answer) ? null : `one of ${labels.join(", ")}`),
  });
  return new LineBook(chips, chip);
}
