// From what an operator wrote (a line number, a pin of the header, a line's name) to one certain line of one chip of this
// machine. It never guesses between two, and opens nothing.
import { HardwareError } from "../errors.ts";
import { placeOfLine } from "../place.ts";
import type { LineChip, LineSpec } from "../ports.ts";
import { HEADER_CHIPS, headerOffsetOfName, headerPin, isHeaderChip } from "./header-lines.ts";

/** A GPIO chip as far as it takes to find a line on it. */
export type ChipOfLines = Pick<LineChip, "label" | "lines" | "names">;

/** A line that exists. */
export type FoundLine<Chip> = { readonly chip: Chip; readonly offset: number; readonly place: string };

/** Names listed in an error, so that it stays one line. */
const NAMES_TOLD = 12;

/** Finds the line. Rejects with LINE_MISSING, saying what there is, when it is not one certain line. */
export async function findLine<Chip extends ChipOfLines>(
  chips: readonly Chip[],
  spec: LineSpec,
): Promise<FoundLine<Chip>> {
  const place = placeOfLine(spec);
  if ("headerPin" in spec) return { ...onHeader(chips, spec.headerPin, place), place };
  if ("name" in spec) return { ...(await named(chips, spec.name, spec.chipLabel, place)), place };
  const chip = chooseChip(chips, spec.chipLabel, place);
  if (!Number.isInteger(spec.offset) || spec.offset < 0 || spec.offset >= chip.lines) {
    throw new HardwareError("LINE_MISSING", place, `${chip.label} has lines 0 to ${chip.lines - 1}`);
  }
  return { chip, offset: spec.offset, place };
}

type Spot<Chip> = { readonly chip: Chip; readonly offset: number };

/** Pins are counted on a board whose header is known, and on no other. */
function onHeader<Chip extends ChipOfLines>(chips: readonly Chip[], pin: number, place: string): Spot<Chip> {
  const known = headerPin(pin);
  if (known === null) throw new HardwareError("LINE_MISSING", place, "the header has pins 1 to 40");
  if (known.kind === "supply") {
    throw new HardwareError("LINE_MISSING", place, `this pin carries ${known.name}`, {
      remedy: "Count again: pin 1 is at the end with the square pad, odd pins are in its row.",
    });
  }
  const [chip, another] = chips.filter(({ label }) => isHeaderChip(label));
  if (chip === undefined || another !== undefined) {
    const boards = HEADER_CHIPS.map((known) => known.boards).join("; ");
    throw new HardwareError("LINE_MISSING", place, `pins are known on ${boards}; ${labelsOf(chips)}`, {
      remedy: "On another board write the line's name, or the chip's label and the line's number.",
    });
  }
  return { chip, offset: known.offset };
}

/** By the kernel's own names; `GPIO17` also by its number, for kernels that name some header lines after their function. */
async function named<Chip extends ChipOfLines>(
  chips: readonly Chip[],
  name: string,
  label: string | null,
  place: string,
): Promise<Spot<Chip>> {
  const candidates = chips.filter((chip) => label === null || chip.label === label);
  const all = await Promise.all(
    candidates.map(async (chip) => ({ chip, names: (await chip.names()).slice(0, chip.lines) })),
  );
  const hits = all.flatMap(({ chip, names }) =>
    names.flatMap((found, offset) => (found === name ? [{ chip, offset }] : [])),
  );
  const [only, another] = hits;
  if (another !== undefined) {
    const where = hits.map(({ chip, offset }) => `${chip.label} ${offset}`).join(", ");
    throw new HardwareError("LINE_MISSING", place, `several lines have this name: ${where}`, {
      remedy: "Write the chip's label and the line's number.",
    });
  }
  if (only !== undefined) return only;
  const offset = headerOffsetOfName(name);
  const headers = candidates.filter((chip) => isHeaderChip(chip.label));
  if (offset !== null && headers[0] !== undefined && headers.length === 1) return { chip: headers[0], offset };
  const there = all.flatMap(({ names }) => names.filter((other) => other !== null && other !== ""));
  const told = there.slice(0, NAMES_TOLD).join(", ");
  const words =
    there.length === 0 ? "no line has a name" : `names here: ${told}${there.length > NAMES_TOLD ? " …" : ""}`;
  throw new HardwareError("LINE_MISSING", place, `${words}; ${labelsOf(candidates)}`);
}

function chooseChip<Chip extends ChipOfLines>(chips: readonly Chip[], label: string | null, place: string): Chip {
  const fitting = chips.filter((chip) => (label === null ? isHeaderChip(chip.label) : chip.label === label));
  const candidates = label === null && fitting.length === 0 ? chips : fitting;
  const [only, another] = candidates;
  if (only === undefined) throw new HardwareError("LINE_MISSING", place, labelsOf(chips));
  if (another !== undefined) {
    throw new HardwareError("LINE_MISSING", place, `more than one chip fits; ${labelsOf(chips)}`, {
      remedy: "Name the chip's label in the configuration.",
    });
  }
  return only;
}

function labelsOf(chips: readonly ChipOfLines[]): string {
  return chips.length === 0 ? "there are no GPIO chips" : `chips here: ${chips.map(({ label }) => label).join(", ")}`;
}
