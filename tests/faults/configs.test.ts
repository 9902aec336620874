// A thousand configs spoiled at random: each either runs or is refused by problem lines that an operator can act on. Some go
// through the program itself, which ends by itself with status 2 and without a stack trace, or serves.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, expect, it } from "vitest";
import { hardwareSpec } from "../../daemon/config/hardware-spec.ts";
import { modelOf } from "../../daemon/config/model.ts";
import { parseConfig, type ReadConfig } from "../../daemon/config/parse.ts";
import { RequestError } from "../../daemon/config/problem.ts";
import { programOf } from "../../daemon/config/program.ts";
import { type Random, seededRandom } from "../../hardware/simulated/random.ts";
import { testFolder } from "../support/folder.ts";
import { runProgram } from "../support/told-program.ts";
import { FULL_CONFIG } from "./campaign/full-config.ts";
import { Invariants } from "./campaign/invariants.ts";
import { plainScene } from "./campaign/scenes.ts";
import { SEED, sized } from "./campaign/size.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const MUTATIONS = sized(1000, 4000);
/** Every so many of those that are accepted are run for some seconds. */
const RUN_EVERY = sized(20, 4);
const RUN_SECONDS = 4;
const PROGRAM_RUNS = sized(6, 24);
const LONGEST_LINE = 600;

const tally = new Tally("configs spoiled");
let ran = 0;
let refused = 0;
afterAll(() => {
  tally.print();
  process.stdout.write(
    `  ${refused} refused with problem lines, ${MUTATIONS - refused} accepted, ${ran} of them run\n`,
  );
});

const VALUES = [
  "-1",
  "0",
  "1e309",
  "-0.0",
  "nan",
  "inf",
  "9007199254740993",
  '""',
  "[]",
  "{}",
  "true",
  "[1, 2]",
  '"110F"',
  '"-300C"',
  '"1e9W"',
  '"\\u0000"',
  "1979-05-27",
  '"__proto__"',
  "'''\nmany\nlines'''",
  `"${"x".repeat(3000)}"`,
] as const;
const JUNK = [
  "\u0000",
  "\uFFFD",
  "=",
  "]]",
  '"',
  "#",
  "\n\n",
  "\\",
  "é",
  "[[",
  "__proto__ = 1\n",
  "constructor.x = 2\n",
];

const pick = <Item>(random: Random, items: readonly Item[]): Item => items[random.below(items.length)]!;

/** One spoiled config: one to three of the ways in which hands, editors and disks spoil a file. */
function spoil(random: Random): string {
  let lines = FULL_CONFIG.split("\n");
  for (let count = 1 + random.below(3); count > 0; count -= 1) {
    const at = random.below(lines.length);
    const line = lines[at] ?? "";
    const ways: readonly (() => void)[] = [
      () => lines.splice(at, 1),
      () => lines.splice(at, 0, pick(random, lines)),
      () => lines.splice(at, 1, line.replace(/=.*/, `= ${pick(random, VALUES)}`)),
      () =>
        lines.splice(
          at,
          1,
          line.replace(/\d+/, (digits) => String(Math.round(Number(digits) * random.between(-9, 99)))),
        ),
      () => lines.splice(at, 1, line.replace(/\w(?=\w* =)/, pick(random, ["x", "_", "-", "Z"]))),
      () => {
        const column = random.below(line.length + 1);
        lines.splice(at, 1, line.slice(0, column) + pick(random, JUNK) + line.slice(column));
      },
      () => {
        lines = lines.join("\n").slice(0, random.below(FULL_CONFIG.length)).split("\n");
      },
    ];
    pick(random, ways)();
  }
  return lines.join("\n");
}

/** What is wrong with a refusal; empty when an operator can act on each line. */
function wrongsOf(error: unknown): string[] {
  if (!(error instanceof RequestError)) return [`threw ${error instanceof Error ? error.stack : String(error)}`];
  if (error.problems.length === 0) return ["was refused without a reason"];
  return error.problems.flatMap(({ what, where, expected, got }) => {
    const words = `${where}: ${what}: expected ${expected}, got ${got}`;
    if (what === "" || where === "" || expected === "" || got === "") return [`an empty word in "${words}"`];
    if (words.length > LONGEST_LINE) return [`a line of ${words.length} characters: ${words.slice(0, 80)}`];
    return /[\r\n]/.test(words) ? [`more than one line: ${words}`] : [];
  });
}

async function runBriefly(read: ReadConfig): Promise<readonly string[]> {
  const trial = await Trial.open({ scenario: plainScene(), seed: 1, read });
  const invariants = new Invariants(trial);
  await trial.run(RUN_SECONDS, invariants.look);
  if (invariants.cycles < RUN_SECONDS) invariants.wrongs.push(`only ${invariants.cycles} cycles`);
  await trial.close();
  return invariants.wrongs.filter((wrong) => !wrong.includes("shown as good"));
}

async function tryConfig(text: string, index: number): Promise<void> {
  const label = `config ${index}`;
  try {
    const read = parseConfig(text, "spoiled.toml");
    programOf(read, modelOf(read));
    hardwareSpec(read);
    const runs = (index - refused) % RUN_EVERY === 0;
    if (runs) ran += 1;
    tally.count(label, 1, runs ? await runBriefly(read) : []);
  } catch (error) {
    refused += 1;
    tally.count(label, 1, wrongsOf(error));
  }
}

it("the config runs as it stands", async () => {
  expect(await runBriefly(parseConfig(FULL_CONFIG, "full.toml"))).toEqual([]);
});

it("runs or says what is wrong, whatever was done to the file", async () => {
  const random = seededRandom(SEED).fork("configs");
  for (let index = 0; index < MUTATIONS; index += 1) await tryConfig(spoil(random), index);
  expect(tally.wrongs).toEqual([]);
  expect(refused).toBeGreaterThan(MUTATIONS / 10);
  expect(refused).toBeLessThan(MUTATIONS);
  expect(ran).toBeGreaterThan(5);
}, 240_000);

it("through the program: status 2, one line for each problem, and no stack trace", async () => {
  const random = seededRandom(SEED).fork("program");
  const folder = testFolder();
  for (let tried = 0; tried < PROGRAM_RUNS; ) {
    const text = spoil(random);
    const problems = problemsIn(text);
    if (problems === null) continue;
    tried += 1;
    const file = join(folder, `${tried}.toml`);
    writeFileSync(file, text);
    const { status, complaints, out } = await runProgram("run", "--simulated", "--config", file, "--data", folder);
    expect({ status, out }).toEqual({ status: 2, out: "" });
    expect(complaints).toHaveLength(problems);
    expect(complaints.filter((line) => /^\s+at |^emberwire: \w*Error/.test(line))).toEqual([]);
  }
}, 240_000);

/** How many problems a config has; null = none. */
function problemsIn(text: string): number | null {
  try {
    const read = parseConfig(text, "spoiled.toml");
    programOf(read, modelOf(read));
    hardwareSpec(read);
    return null;
  } catch (error) {
    return error instanceof RequestError ? error.problems.length : null;
  }
}
