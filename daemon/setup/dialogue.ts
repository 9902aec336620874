// The set-up from the first question to the text of a config that the daemon would take. It looks at the board and asks a person; it
// writes no file and permits no power.

import { HARDWARE_REMEDIES, type HardwareError } from "../../hardware/errors.ts";
import type { Board } from "../../hardware/ports.ts";
import { type FoundChip, type Survey, surveyBoard, thermometersOf } from "../../hardware/survey.ts";
import { supply as supplySchema } from "../config/schema/wiring.ts";
import { addressKey, type DraftKey, draftKey, draftText } from "./draft.ts";
import { askExtras } from "./extras.ts";
import { openLineBook } from "./line-book.ts";
import { asked, askFan, askRelay, yes } from "./lines.ts";
import type { Person } from "./person.ts";
import { type Hand, placeThermometers } from "./places.ts";
import { LIMITS, PLACE, TRANSFORMER, wrongBySchema } from "./questions.ts";

export type DialogueOptions = {
  readonly board: Board;
  readonly person: Person;
  readonly hand: Hand;
  readonly say: (text: string) => void;
  /** Where the daemon is to keep its log; null = wherever it runs. */
  readonly folder: string | null;
};

const CAUTION = `The transmitter is off and locked, and the coax is disconnected, while anyone is at the box: a half-wave
wire's feedpoint carries kilovolts. Let the fan run, so that its tach can be heard.
`;

/** @throws what the person throws */
export async function askForConfig(options: DialogueOptions): Promise<string> {
  const { board, person, say, folder } = options;
  say(`${CAUTION}\nLooking at the buses and lines …\n`);
  const survey = await surveyBoard(board);
  say(survey.buses.length === 0 ? NO_BUS : survey.buses.map(sayBus).join(""));
  const asking = { ...options, lines: await openLineBook(board, person, say) };
  const sensors = await placeThermometers(thermometersOf(survey), options);
  say("\n");
  const keys: DraftKey[] = [];
  keys.push(...(await askFan(asking)), ...(await askRelay(asking)));
  keys.push(...(await askSupply(survey, person)), ...(await askDrive(survey, person)));
  say("\n");
  for (const question of [...TRANSFORMER, ...LIMITS, ...PLACE]) {
    const key = await asked(question, person);
    if (key.code !== '""') keys.push(key);
  }
  keys.push(...(await askExtras(asking, new Set(keys.map(({ table }) => table)))), ...asking.lines.chipKeys());
  if (folder !== null) keys.push(draftKey("log", "folder", folder));
  person.done();
  return draftText({ keys, sensors });
}

const NO_BUS = `There is no I²C bus on this machine. ${HARDWARE_REMEDIES.BUS_MISSING}
Then begin again; or go on and name chips that are not there yet.
`;

function sayBus({ place, chips, trouble }: Survey["buses"][number]): string {
  const lines = chips.map(
    ({ place: at, chip, says }) => `  ${at}  ${chip?.certain === false ? "looks like " : ""}${says}\n`,
  );
  if (trouble !== null) return `${place}\n${lines.join("")}  ${sayTrouble(trouble, chips.length === 0)}\n`;
  return `${place}\n${lines.length === 0 ? "  nothing that Emberwire knows\n" : lines.join("")}`;
}

/** Some adapters cannot tell an empty bus from one that is held low. */
function sayTrouble({ code, words, remedy }: HardwareError, isEmpty: boolean): string {
  const isMute = code === "TIMEOUT" || code === "BUS_STUCK";
  return isMute && isEmpty
    ? "no answer at all: nothing hangs there, or it is held low (a missing pull-up, a short, SDA and SCL exchanged)"
    : `${words}. ${remedy}`;
}

function chipsOf<Kind extends "supply" | "drive">({ buses }: Survey, kind: Kind): readonly FoundChip[] {
  return buses.flatMap(({ chips }) => chips.filter(({ chip }) => chip?.kind === kind));
}

async function askSupply(survey: Survey, person: Person): Promise<readonly DraftKey[]> {
  const [found] = chipsOf(survey, "supply");
  if (found?.chip?.kind !== "supply") return [];
  const { chip } = found.chip;
  if (!(await yes(person, "supply", `Does the ${chip.toUpperCase()} at ${found.place} watch the fan's supply?`)))
    return [];
  const shunt = await person.ask({
    key: "shunt",
    text: "Resistance of its shunt",
    fallback: "0.1ohm",
    wrong: wrongBySchema(supplySchema.shape.shunt),
  });
  return [...chipKeys("supply", chip, found), draftKey("supply", "shunt", shunt, "the resistor in the fan's supply")];
}

async function askDrive(survey: Survey, person: Person): Promise<readonly DraftKey[]> {
  const [found] = chipsOf(survey, "drive");
  if (found === undefined) return [];
  const detector = `Does the ADS1115 at ${found.place} read a directional detector, forward on its input 0?`;
  if (!(await yes(person, "drive", detector))) return [];
  return [...chipKeys("drive", "ads1115", found), draftKey("drive", "forward_channel", 0)];
}

const chipKeys = (table: string, chip: string, { bus, address, says }: FoundChip): readonly DraftKey[] => [
  draftKey(table, "chip", chip, says),
  draftKey(table, "bus", bus),
  addressKey(table, address),
];
