// Whoever answers the questions of a set-up: somebody at a terminal, who is asked again with what was expected, or a file of answers,
// which is refused. It asks and reads; what is asked is not its business.

import { createInterface } from "node:readline";
import type { Readable, Writable } from "node:stream";
import { nearest } from "../config/nearest.ts";
import { type Problem, RequestError } from "../config/problem.ts";
import { readTextFile } from "../config/text-file.ts";
import { readToml } from "../config/toml.ts";
import { BadNews } from "../exit.ts";

/** One thing to be told. */
export type Question = {
  /** Names the answer in a file of answers. */
  readonly key: string;
  readonly text: string;
  /** Taken when nothing is said; null = it must be said. */
  readonly fallback: string | null;
  /** What was expected instead of this answer; null when it will do. */
  readonly wrong: (answer: string) => string | null;
};

export interface Person {
  /** Resolves to an answer that will do. @throws RequestError or BadNews when there will be none */
  ask(question: Question): Promise<string>;
  /** True where somebody is there who can be asked to do something with their hands. */
  readonly present: boolean;
  /** @throws RequestError for answers that nobody asked for */
  done(): void;
  close(): void;
}

/** Somebody who types lines; works through a pipe as well. `say` writes text as it is. */
export function atTerminal(
  input: Readable,
  output: Writable & { isTTY?: boolean },
  say: (text: string) => void,
): Person {
  // Only a terminal gets line editing; a pipe must not see its own words again.
  const terminal = output.isTTY === true && (input as { isTTY?: boolean }).isTTY === true;
  const lines = createInterface(terminal ? { input, output, terminal } : { input, terminal: false });
  const typed = lines[Symbol.asyncIterator]();
  const prompt = (text: string): void => {
    if (!terminal) say(text);
    else {
      lines.setPrompt(text);
      lines.prompt();
    }
  };
  return {
    present: true,
    ask: async ({ text, fallback, wrong }) => {
      for (;;) {
        prompt(fallback === null || fallback === "" ? `${text}: ` : `${text} [${fallback}]: `);
        const line = await typed.next();
        if (line.done === true) throw new BadNews(["the answers ended before the last question; nothing was written"]);
        if (!terminal) say("\n");
        const answer = line.value.trim() === "" ? (fallback ?? "") : line.value.trim();
        const expected = wrong(answer);
        if (expected === null) return answer;
        say(`  Expected ${expected}${answer === "" ? "" : `, got "${answer.slice(0, 60)}"`}.\n`);
      }
    },
    done: () => undefined,
    close: () => lines.close(),
  };
}

const LARGEST_BYTES = 64 * 1024;

/** A TOML file of answers by their keys; what it leaves out keeps its fallback. @throws RequestError when it cannot be read */
export function fromAnswers(file: string): Person {
  const text = readTextFile(file, { what: "--answers", where: "command line", mostBytes: LARGEST_BYTES });
  const document = readToml(text, file);
  const given = new Map(Object.entries(document.value as Record<string, unknown>));
  const asked = new Set<string>();
  const placeOf = (key: string): string => {
    const line = document.lineOf([key]);
    return line === null ? file : `${file}:${line}`;
  };
  const problem = (key: string, expected: string, got: string): Problem => {
    return { what: key, where: placeOf(key), expected, got };
  };
  return {
    present: false,
    ask: async ({ key, fallback, wrong }) => {
      asked.add(key);
      const value = given.get(key);
      const answer = value === undefined ? (fallback ?? "") : String(value);
      const expected = wrong(answer);
      if (expected === null) return answer;
      const got = value === undefined ? "nothing" : (JSON.stringify(value) ?? answer).slice(0, 60);
      throw new RequestError([problem(key, expected, got)]);
    },
    done: () => {
      const strange = [...given.keys()].filter((key) => !asked.has(key));
      if (strange.length === 0) return;
      throw new RequestError(
        strange.map((key) => {
          const near = nearest(key, [...asked]);
          return problem(
            key,
            near === null ? "an answer that is asked for" : `one asked for; the nearest is "${near}"`,
            "this",
          );
        }),
      );
    },
    close: () => undefined,
  };
}
