// Whoever answers the questions of a set-up: somebody at a terminal, who is asked again with what was expected, or a file of answers,
// which is refused. It asks and reads; what is asked is not its business.

import { createInterface } from "node:readline";
import type { Readable, Writable } from "node:stream";
import { nearest } from "../config/nearest.ts";
import { type Problem, RequestError } from "../config/problem.ts";
import { readTextFile } from "../config/text-file.ts";
import { readToml } from "../config/toml.ts";
import { BadNews } from "../exit.ts";

type Wrong = string | { readonly expected: string; readonly got: string } | null;

/** One thing to be told. */
export type Question = {
  /** Names the answer in a file of answers. */
  readonly key: string;
  readonly text: string;
  /** Taken when nothing is said; null = it must be said. */
  readonly fallback: string | null;
  /** What was expected instead of this answer, with more of what it was than its words where that is known; null when it will do. */
  readonly wrong: (answer: string) => Wrong | Promise<Wrong>;
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

const ENDED = ["the answers ended before the last question; nothing was written"];

export type Terminal = {
  readonly input: Readable & { isTTY?: boolean };
  readonly output: Writable & { isTTY?: boolean };
  /** Writes text as it is. */
  readonly say: (text: string) => void;
  /** Ctrl-C, also while nothing is asked: the program is to end at once. */
  readonly leave: () => void;
};

/** Somebody who types lines; works through a pipe as well. */
export function atTerminal({ input, output, say, leave }: Terminal): Person {
  // Only a terminal gets line editing; a pipe must not see its own words again.
  const terminal = output.isTTY === true && input.isTTY === true;
  const lines = createInterface(terminal ? { input, output, terminal } : { input, terminal: false });
  const typed = lines[Symbol.asyncIterator]();
  let closed = false;
  lines.once("close", () => {
    closed = true;
  });
  lines.on("SIGINT", () => {
    lines.close();
    say("\nNothing was written.\n");
    leave();
  });
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
        // A terminal that went away while something was listened to must not be opened again.
        if (terminal && closed) throw new BadNews(ENDED);
        prompt(fallback === null || fallback === "" ? `${text}: ` : `${text} [${fallback}]: `);
        const line = await typed.next();
        if (line.done === true) throw new BadNews(ENDED);
        if (!terminal) say("\n");
        const answer = line.value.trim() === "" ? (fallback ?? "") : line.value.trim();
        const fault = await wrong(answer);
        if (fault === null) return answer;
        const quoted = answer === "" ? "nothing" : `"${answer.slice(0, 60)}"`;
        const { expected, got } = typeof fault === "string" ? { expected: fault, got: quoted } : fault;
        say(`  Expected ${expected}, got ${got}.\n`);
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
      const fault = await wrong(answer);
      if (fault === null) return answer;
      const quoted = value === undefined ? "nothing" : (JSON.stringify(value) ?? answer).slice(0, 60);
      const { expected, got } = typeof fault === "string" ? { expected: fault, got: quoted } : fault;
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
