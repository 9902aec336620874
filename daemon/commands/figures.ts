// How a planning command shows its figures: aligned lines for people, JSON for programs, one line for a refused question.
// It never computes a figure.
import type { Command } from "commander";
import { type Problem, RequestError } from "../config/problem.ts";
import { PhysicsError } from "../core/physics/physics-error.ts";

/** Where values given as flags stand. */
export const COMMAND_LINE = "command line";

/** One line of an answer: what it is and the figure with its unit. */
export type Figure = readonly [label: string, value: string];

/** Writes where the program's commands write: a test's buffer or the terminal. */
export function writeOut(command: Command, text: string): void {
  command.configureOutput().writeOut?.(text.endsWith("\n") ? text : `${text}\n`);
}

/** `answer` as JSON, two spaces, one trailing newline. */
export function writeJson(command: Command, answer: unknown): void {
  writeOut(command, JSON.stringify(answer, null, 2));
}

/** Labels left, values in one column, then each note as a paragraph of its own, wrapped. */
export function writeFigures(command: Command, figures: readonly Figure[], notes: readonly string[] = []): void {
  const width = Math.max(0, ...figures.map(([label]) => label.length));
  const lines = figures.map(([label, value]) => `${label.padEnd(width)}  ${value}`);
  for (const note of notes) lines.push("", ...wrapped(note));
  writeOut(command, lines.join("\n"));
}

/** A number to `digits` significant digits without exponent where it can be read: 0.0494, 74.2, 1500. */
export function figure(value: number, digits = 3): string {
  if (value === 0) return "0";
  const size = Math.abs(value);
  if (size < 1e-4 || size >= 1e9) return value.toExponential(digits - 1);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  return Number(value.toFixed(Math.min(decimals, 12))).toString();
}

/** A share as percent. */
export function percent(share: number, digits = 3): string {
  return `${figure(share * 100, digits)} %`;
}

/** Runs a computation and turns a refusal of the physics into the one line of a wrong request about `what`. */
export function asked<T>(what: string, compute: () => T): T {
  try {
    return compute();
  } catch (error) {
    if (error instanceof PhysicsError) throw new RequestError([physicsProblem(what, error)]);
    throw error;
  }
}

function physicsProblem(what: string, error: PhysicsError): Problem {
  return {
    what,
    where: COMMAND_LINE,
    expected: `${error.quantity} from ${figure(error.low, 6)} to ${figure(error.high, 6)}`,
    got: figure(error.asked, 6),
  };
}

const LINE_LENGTH = 100;

/** A paragraph broken into lines a terminal can hold. */
export function wrapped(text: string): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    if (line !== "" && line.length + 1 + word.length > LINE_LENGTH) {
      lines.push(line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  lines.push(line);
  return lines;
}
