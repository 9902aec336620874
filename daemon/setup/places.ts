// Which thermometer hangs where: told by a warm finger, chosen from a list, or named in a file of answers.

import { pause } from "../../hardware/clock.ts";
import type { Board, Clock, Role, SensorSpec, TemperatureSensor } from "../../hardware/ports.ts";
import { type FoundThermometer, openThermometers } from "../../hardware/survey.ts";
import { sensor as sensorSchema } from "../config/schema/wiring.ts";
import type { DraftSensor } from "./draft.ts";
import { readAll, restingCelsius, type Warming, watchWarming } from "./finger.ts";
import type { Person } from "./person.ts";

/** Where hands are: a person is asked in words, a simulated one acts. `hold` resolves to what lets go. */
export type Hand = { hold(role: Role): () => void };

export type PlacesOptions = {
  readonly board: Board;
  readonly person: Person;
  readonly hand: Hand;
  readonly say: (text: string) => void;
};

/** How long a finger is waited for, s. */
const FINGER_SECONDS = 60;
/** The slowest of the chips converts in less, s. */
const WAKING_SECONDS = 1;
/** Attempts before the list is offered. */
const ATTEMPTS = 3;

const WHERE: Readonly<Record<"inlet" | "outlet", string>> = {
  inlet: "in the air that enters the box",
  outlet: "in the air that leaves the box",
};

/** Inlet and outlet first, then what is left over. @throws what the person throws */
export async function placeThermometers(
  found: readonly FoundThermometer[],
  options: PlacesOptions,
): Promise<readonly DraftSensor[]> {
  const { board, say } = options;
  const { sensors, close } = openThermometers(board, found);
  try {
    const celsius = await firstReadings(sensors, board.clock);
    say(listed(found, celsius));
    const placed: DraftSensor[] = [];
    for (const role of ["inlet", "outlet"] as const) {
      const free = found.filter(({ place }) => !placed.some((one) => one.place === place));
      placed.push({ ...(await whichIs(role, free, options)), name: role, role });
    }
    for (const [index, one] of found.entries()) {
      if (placed.some(({ place }) => place === one.place)) continue;
      const role = await leftOver(one, celsius[index] ?? null, options.person);
      if (role === null) continue;
      const same = placed.filter((other) => other.role === role).length;
      const name = same === 0 ? role : `${role} ${same + 1}`;
      placed.push({ ...one, name, role });
    }
    return placed;
  } finally {
    await close();
  }
}

/** A chip that was just woken by being identified has something to say at the second look. */
async function firstReadings(sensors: readonly TemperatureSensor[], clock: Clock): Promise<readonly (number | null)[]> {
  const first = await readAll(sensors);
  if (!first.includes(null)) return first;
  await pause(clock, WAKING_SECONDS);
  const second = await readAll(sensors);
  return first.map((celsius, index) => celsius ?? second[index] ?? null);
}

function listed(found: readonly FoundThermometer[], celsius: readonly (number | null)[]): string {
  const lines = found.map(
    ({ place, says }, index) => `  ${index + 1}  ${place}  ${says}${reads(celsius[index] ?? null)}\n`,
  );
  return `\nThermometers:\n${lines.length === 0 ? "  none\n" : lines.join("")}`;
}

const reads = (celsius: number | null): string => (celsius === null ? ", no reading" : `, ${celsius.toFixed(1)} °C`);

async function whichIs(
  role: "inlet" | "outlet",
  free: readonly FoundThermometer[],
  options: PlacesOptions,
): Promise<FoundThermometer> {
  const { person, say } = options;
  const [only, another] = free;
  // What is left when the inlet is known; a single thermometer may be either.
  if (role === "outlet" && only !== undefined && another === undefined && person.present) {
    say(`The ${role} is then ${only.place}.\n`);
    return only;
  }
  if (!person.present || free.length === 0) return fromList(role, free, person);
  for (let attempt = 1; attempt <= ATTEMPTS; attempt += 1) {
    const answer = await person.ask({
      key: role,
      text: `The ${role} by a warm finger: hands off all sensors, then Enter (or "list" to choose)`,
      fallback: "",
      wrong: (text) => (text === "" || text === "list" ? null : 'Enter or "list"'),
    });
    if (answer === "list") break;
    const warmed = await warming(role, free, options);
    if (warmed.kind === "one") {
      const one = free[warmed.index]!;
      say(`  ${one.place} rose by ${warmed.kelvin.toFixed(1)} K: it is the ${role}. You can let go.\n`);
      return one;
    }
    say(`  ${sayWarming(warmed, free)}\n`);
  }
  return fromList(role, free, person);
}

/** The beginning is taken again for each finger: the last one's warmth goes slowly. */
async function warming(
  role: "inlet" | "outlet",
  free: readonly FoundThermometer[],
  { board, hand, say }: PlacesOptions,
): Promise<Warming> {
  const { sensors, close } = openThermometers(board, free);
  try {
    const resting = await restingCelsius(sensors, board.clock);
    say(`  Now hold a finger on the sensor ${WHERE[role]}, and on no other, for at most ${FINGER_SECONDS} s.\n`);
    const letGo = hand.hold(role);
    try {
      return await watchWarming(sensors, resting, board.clock, FINGER_SECONDS);
    } finally {
      letGo();
    }
  } finally {
    await close();
  }
}

function sayWarming(warming: Exclude<Warming, { kind: "one" }>, free: readonly FoundThermometer[]): string {
  if (warming.kind === "several") {
    const places = warming.indexes.map((index) => free[index]?.place).join(" and ");
    return `${places} rose together: hold one only, and keep hand and breath away from the others.`;
  }
  return (
    `None rose by a clear step (the most: ${warming.mostKelvin.toFixed(1)} K). A finger warms only what is colder than it; ` +
    "take something warmer on a hot day, and touch the chip itself."
  );
}

const CHIP_WORDS = "CHIP BUS ADDRESS such as tmp117 1 0x48";

async function fromList(role: string, free: readonly FoundThermometer[], person: Person): Promise<FoundThermometer> {
  const answer = await person.ask({
    key: role,
    text: `Which is the ${role}? (${[...free.map(({ place }, index) => `${index + 1} = ${place}`), CHIP_WORDS].join(", or ")})`,
    fallback: null,
    wrong: (text) => (chosen(text, free) === null ? `a number or place of the list, or ${CHIP_WORDS}` : null),
  });
  return chosen(answer, free)!;
}

/** One of the list by number or place, or one that is not there yet by chip, bus and address. */
function chosen(text: string, free: readonly FoundThermometer[]): FoundThermometer | null {
  const listed = free.find(({ place }, index) => place === text || String(index + 1) === text);
  if (listed !== undefined) return listed;
  const [chip, bus, address, ...more] = text.split(/\s+/);
  if (more.length > 0 || bus === undefined || address === undefined) return null;
  const parsed = sensorSchema.safeParse({ name: "x", role: "inlet", chip, bus: Number(bus), address: Number(address) });
  if (!parsed.success || parsed.data.chip === undefined || parsed.data.address === undefined) return null;
  const source: SensorSpec["source"] = {
    kind: "i2c",
    chip: parsed.data.chip,
    bus: Number(bus),
    address: parsed.data.address,
  };
  return { source, place: `i2c-${bus} ${address}`, says: "as told, not seen" };
}

const ROLES: readonly Role[] = ["wall", "ambient", "core", "inlet", "outlet"];

async function leftOver(one: FoundThermometer, celsius: number | null, person: Person): Promise<Role | null> {
  const answer = await person.ask({
    key: one.place,
    text: `Where is ${one.place} (${one.says}${reads(celsius)})? ${ROLES.join(", ")} or none`,
    fallback: "none",
    wrong: (text) => (text === "none" || isRole(text) ? null : `one of ${ROLES.join(", ")}, none`),
  });
  return isRole(answer) ? answer : null;
}

const isRole = (text: string): text is Role => ROLES.some((role) => role === text);
