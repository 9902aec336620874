// The lines that a plain station has: the fan's tach, listened to at once, and the two permit lines. It energises nothing.

import type { Board, HardwareSpec } from "../../hardware/ports.ts";
import { pinOf } from "../../hardware/wiring/pins.ts";
import { tach as tachSchema } from "../config/schema/wiring.ts";
import { type DraftKey, draftKey } from "./draft.ts";
import type { LineBook, LinePath } from "./line-book.ts";
import type { Person } from "./person.ts";
import { type Heard, listenForFan } from "./pulses.ts";
import { FAN, type KeyQuestion } from "./questions.ts";

/** What questions about lines need. */
export type LineAsking = {
  readonly board: Board;
  readonly person: Person;
  readonly say: (text: string) => void;
  readonly lines: LineBook;
};

const NONE = "none";

/** The fan's keys and those of its tach. @throws what the person throws */
export async function askFan({ board, person, say, lines }: LineAsking): Promise<readonly DraftKey[]> {
  const pulses = await asked(FAN.pulses, person);
  const path: LinePath = ["tach", "line"];
  let line: string | null = null;
  let heard: Heard = { kind: "quiet" };
  for (let again = true; again; ) {
    line = await askLine(person, lines, path, { key: "tach", text: "Line of the fan's tach", pin: pinOf("tach") });
    if (line === null) break;
    say(`  Listening on ${/^\d+$/.test(line) ? `line ${line}` : line} …\n`);
    heard = await listenForFan(tachOf(lines, line, Number(pulses.code)), board);
    say(`  ${sayHeard(heard)}\n`);
    again =
      heard.kind !== "turns" && person.present && !(await yes(person, "keep_tach", "Keep this line all the same?"));
  }
  const speed =
    heard.kind === "turns" && line !== null ? `${100 * Math.round(heard.rpm / 100)}rpm` : FAN.speed.fallback;
  const nominal = await asked({ ...FAN.speed, key: "fan_speed", fallback: speed }, person);
  const supply = await asked({ ...FAN.supply, key: "fan_supply" }, person);
  const tach =
    line === null
      ? [draftKey("tach", "fitted", false, "nobody sees the fan stop: fit one with a tach")]
      : [lines.take(path, line, "open collector, pull-up to 3.3 V only")];
  return [nominal, supply, pulses, ...tach];
}

/** Keys of both permit lines; none without both. @throws what the person throws */
export async function askRelay({ person, say, lines }: LineAsking): Promise<readonly DraftKey[]> {
  const keys: DraftKey[] = [];
  for (const [name, comment] of [
    ["reduce", "energised = permitted"],
    ["inhibit", null],
  ] as const) {
    const path: LinePath = ["relay", name];
    const text = `Permit line \`${name}\``;
    const line = await askLine(person, lines, path, { key: name, text, pin: pinOf(name) });
    if (line === null) {
      say("  Without both permit lines Emberwire only warns: nothing takes the power off.\n");
      return [];
    }
    keys.push(lines.take(path, line, comment));
  }
  return keys;
}

/** One answer as a key of the file. */
export async function asked(question: KeyQuestion, person: Person): Promise<DraftKey> {
  const answer = await person.ask(question);
  return draftKey(question.table, question.name, question.value(answer), question.comment);
}

/** @throws what the person throws */
export async function yes(person: Person, key: string, text: string, fallback = "yes"): Promise<boolean> {
  const wrong = (answer: string): string | null => (/^(y|yes|n|no|true|false)$/i.test(answer) ? null : "yes or no");
  return /^(y|yes|true)$/i.test(await person.ask({ key, text: `${text} (yes/no)`, fallback, wrong }));
}

type LineQuestion = { readonly key: string; readonly text: string; readonly pin: string };

/** A line that will do, not yet given away; null = none. @throws what the person throws */
export function askLine(
  person: Person,
  lines: LineBook,
  path: LinePath,
  { key, text, pin }: LineQuestion,
): Promise<string | null> {
  const [such, fallback] = lines.countsPins ? ["such as pin 11, GPIO17 or 17", pin] : ["its number or name", null];
  const question = {
    key,
    text: `${text} (${such}; or ${NONE})`,
    fallback,
    wrong: async (said: string) => (said === NONE ? null : lines.wrong(path, said)),
  };
  return person.ask(question).then((answer) => (answer === NONE ? null : answer));
}

function tachOf(
  lines: LineBook,
  answer: string,
  pulsesPerRevolution: number,
): Extract<NonNullable<HardwareSpec["tachometer"]>, { kind: "gpio" }> {
  const { bias } = tachSchema.parse({ line: 0 });
  return { kind: "gpio", line: lines.spec(answer), bias, pulsesPerRevolution };
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
      return `${heard.error.words}. ${heard.error.remedy}`;
  }
}
