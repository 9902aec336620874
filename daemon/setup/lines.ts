// The GPIO lines: the fan's tach, listened to at once, and the two permit lines. An answer that another part has already is asked
// again. It energises nothing.

import type { Board } from "../../hardware/ports.ts";
import { hardwareSpec } from "../config/hardware-spec.ts";
import { parseConfig } from "../config/parse.ts";
import { RequestError } from "../config/problem.ts";
import { line as lineSchema } from "../config/schema/fields.ts";
import type { Draft, DraftKey } from "./draft.ts";
import type { Person } from "./person.ts";
import { type Heard, listenForFan } from "./pulses.ts";
import { FAN, type KeyQuestion, valueFor, wrongBySchema } from "./questions.ts";

export type LinesOptions = {
  readonly board: Board;
  readonly person: Person;
  readonly say: (text: string) => void;
};

type LineAnswer = string | number;

const NONE = "none";

/** The fan's keys and its tach line. @throws what the person throws */
export async function askFan({
  board,
  person,
  say,
}: LinesOptions): Promise<{ readonly keys: readonly DraftKey[]; readonly tachLine: Draft["tachLine"] }> {
  const pulses = await asked(FAN.pulses, person);
  let line: LineAnswer | null = null;
  let heard: Heard = { kind: "quiet" };
  for (let again = true; again; ) {
    line = await askLine(person, "tach", "Line of the fan's tach", "pin 11", (answer) => ({ tach: answer }));
    if (line === null) break;
    say(`  Listening on ${line} …\n`);
    heard = await listenForFan(tachOf(line, Number(pulses.value)), board);
    say(`  ${sayHeard(heard)}\n`);
    again =
      heard.kind !== "turns" && person.present && !(await yes(person, "keep_tach", "Keep this line all the same?"));
  }
  const speed =
    heard.kind === "turns" && line !== null ? `${100 * Math.round(heard.rpm / 100)}rpm` : FAN.speed.fallback;
  const nominal = await asked({ ...FAN.speed, key: "fan_speed", fallback: speed }, person);
  const supply = await asked({ ...FAN.supply, key: "fan_supply" }, person);
  return { keys: [nominal, supply, pulses], tachLine: line };
}

/** Both permit lines, or null. @throws what the person throws */
export async function askRelay({ person, say }: LinesOptions, tach: Draft["tachLine"]): Promise<Draft["relay"]> {
  const others = tach === null ? {} : { tach };
  const ask = (key: "reduce" | "inhibit", fallback: string, with_: Readonly<Record<string, LineAnswer>>) =>
    askLine(person, key, `Permit line \`${key}\``, fallback, (answer) => ({ ...others, ...with_, [key]: answer }));
  const reduce = await ask("reduce", "pin 16", {});
  const inhibit = reduce === null ? null : await ask("inhibit", "pin 18", { reduce });
  if (reduce !== null && inhibit !== null) return { reduce, inhibit };
  say("  Without both permit lines Emberwire only warns: nothing takes the power off.\n");
  return null;
}

/** One answer as a key of the file. */
export async function asked(question: KeyQuestion, person: Person): Promise<DraftKey> {
  const answer = await person.ask(question);
  return { table: question.table, name: question.name, value: question.value(answer), comment: question.comment };
}

/** @throws what the person throws */
export async function yes(person: Person, key: string, text: string, fallback = "yes"): Promise<boolean> {
  const wrong = (answer: string): string | null => (/^(y|yes|n|no|true|false)$/i.test(answer) ? null : "yes or no");
  return /^(y|yes|true)$/i.test(await person.ask({ key, text: `${text} (yes/no)`, fallback, wrong }));
}

async function askLine(
  person: Person,
  key: string,
  text: string,
  fallback: string,
  linesWith: (answer: LineAnswer) => Readonly<Record<string, LineAnswer>>,
): Promise<LineAnswer | null> {
  const bySchema = wrongBySchema(lineSchema);
  const answer = await person.ask({
    key,
    text: `${text} (${LINE_WORDS}; or ${NONE})`,
    fallback,
    wrong: (said) => {
      if (said === NONE) return null;
      return bySchema(said) ?? clash(linesWith(valueFor(lineSchema, said)));
    },
  });
  return answer === NONE ? null : valueFor(lineSchema, answer);
}

const LINE_WORDS = "such as pin 11, GPIO17 or 17";

const LEAST = '[transformer]\nmix = "43"\ntoroids = 1\nprimary_turns = 1\n';

/** The lines so far as the config would have them; a permit line that stands alone takes the buzzer's place to be compared. */
function lineConfig({ tach, reduce, inhibit }: Readonly<Record<string, LineAnswer>>, pulses = 2): string {
  const tachTable = tach === undefined ? "fitted = false" : `line = ${JSON.stringify(tach)}`;
  const relay =
    inhibit === undefined ? "" : `[relay]\nreduce = ${JSON.stringify(reduce)}\ninhibit = ${JSON.stringify(inhibit)}\n`;
  const alone = reduce === undefined || inhibit !== undefined ? "" : `[buzzer]\nline = ${JSON.stringify(reduce)}\n`;
  return `${LEAST}[fan]\npulses_per_revolution = ${pulses}\n[tach]\n${tachTable}\n${relay}${alone}`;
}

function clash(lines: Readonly<Record<string, LineAnswer>>): string | null {
  try {
    hardwareSpec(parseConfig(lineConfig(lines), "lines"));
    return null;
  } catch (error) {
    if (error instanceof RequestError) return error.problems[0]?.expected ?? "another line";
    throw error;
  }
}

function tachOf(line: LineAnswer, pulses: number): Parameters<typeof listenForFan>[0] {
  const { tachometer } = hardwareSpec(parseConfig(lineConfig({ tach: line }, pulses), "lines"));
  if (tachometer?.kind !== "gpio") throw new TypeError("a tach line makes a tachometer");
  return tachometer;
}

function sayHeard(heard: Heard): string {
  switch (heard.kind) {
    case "turns":
      return `The fan turns: ${heard.rpm.toFixed(0)} rpm.`;
    case "quiet":
      return "No pulses. Does the fan run? Is this its tach lead, with a pull-up to 3.3 V?";
    case "noise":
      return `Pulses that make no speed (${heard.rejectedEdges} rejected): a missing pull-up, a chopped supply, or the wrong line.`;
    case "fault":
      return `${heard.error.message}. ${heard.error.remedy}`;
  }
}
