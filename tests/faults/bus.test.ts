// A bus held low and let go again: every chip is read again soon after, however many are still being asked, one alone included.

import { afterAll, expect, it } from "vitest";
import { parseConfig } from "../../daemon/config/parse.ts";
import { Invariants } from "./campaign/invariants.ts";
import { plainScene } from "./campaign/scenes.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const tally = new Tally("a bus held low");
afterAll(() => tally.print());

const STUCK_FROM_SECONDS = 10;
/** Simulated seconds after which everything is to be read again: a round of tries, and a second for the first conversion. */
const BACK_SECONDS = 12;

const SENSORS = [
  `[[sensor]]\nname = "outlet"\nrole = "outlet"\nchip = "tmp117"\naddress = 0x49\n`,
  `[[sensor]]\nname = "inlet"\nrole = "inlet"\nchip = "tmp117"\naddress = 0x48\n`,
  `[[sensor]]\nname = "wall"\nrole = "wall"\nchip = "mcp9808"\naddress = 0x18\n`,
  `[[sensor]]\nname = "ambient"\nrole = "ambient"\nchip = "sht4x"\naddress = 0x44\n`,
];
/** Read by the kernel, not over the bus. */
const OTHER_INLET = `[[sensor]]\nname = "inlet"\nrole = "inlet"\nhwmon = "/sys/class/hwmon/hwmon0/temp1_input"\n`;
const TRANSFORMER = `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n`;

it.each([
  // One chip alone needs three cycles to tell a held bus from a lost answer, and the alarm two seconds more.
  [1, 8],
  [1, 60],
  [2, 30],
  [3, 31.3],
  [4, 7.7],
  [4, 90],
])("%i chips asked, held for %d s", async (chips, seconds) => {
  const sensors = [...SENSORS.slice(0, chips), ...(chips === 1 ? [OTHER_INLET] : [])].join("");
  const read = parseConfig(`${TRANSFORMER}[tach]\nfitted = false\n${sensors}`, "chips.toml");
  const endSeconds = STUCK_FROM_SECONDS + seconds;
  const faults = [{ kind: "bus stuck", bus: 1, startSeconds: STUCK_FROM_SECONDS, endSeconds }] as const;
  const trial = await Trial.open({ scenario: plainScene(), seed: 1, faults, read });
  const invariants = new Invariants(trial);
  await trial.run(endSeconds - 1, invariants.look);
  const asked = ["outlet", "inlet", "wall", "ambient"].slice(0, chips);
  const during = Object.entries(trial.newest!.outlook.readings).filter(
    ([name, reading]) => asked.includes(name) && isGood(reading),
  );
  await trial.run(1 + BACK_SECONDS, invariants.look);
  const { inlet, outlet, wall, ambient } = trial.newest!.outlook.readings;
  const stuck = trial.hardware.buses().filter((bus) => bus.stuck);
  const told = invariants.entries.some(({ tag }) => tag === "bus_stuck");
  await trial.close();
  const back = [outlet, inlet, wall, ambient].slice(0, chips).every(isGood);
  const wrongs = [...invariants.wrongs];
  if (during.length > 0) wrongs.push(`good while the bus was held: ${during.map(([name]) => name).join(", ")}`);
  if (!back || stuck.length > 0) wrongs.push(`not read again ${BACK_SECONDS} s after the bus was free`);
  if (!told) wrongs.push("the record does not tell of the bus");
  tally.count(`${chips} chips, ${seconds} s`, 1, wrongs, invariants.cycles);
  expect(tally.wrongs).toEqual([]);
});

function isGood(reading: unknown): boolean {
  return typeof reading === "object" && reading !== null && "quality" in reading && reading.quality === "good";
}
