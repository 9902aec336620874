// A password as a person or a pipe gives it: from the terminal without an echo, else the first line of standard input.
// It keeps nothing and prints nothing but its question.

import type { ReadStream } from "node:tty";
import { RequestError } from "../config/problem.ts";
import { BadNews } from "../exit.ts";

const MOST_BYTES = 4096;
const CONTROL_C = "\u0003";
const CONTROL_D = "\u0004";
const ENTER = /[\r\n]/;
const ERASE = /[\u007f\b]/;

/** Standard input, and where its question is written. */
export type Terminal = { readonly input: NodeJS.ReadStream; readonly ask: (text: string) => void };

/** On a terminal the password twice, without an echo; from a pipe its first line. @throws RequestError when the two differ or nothing comes */
export async function typedSecret(what: string, { input, ask }: Terminal): Promise<string> {
  if (!input.isTTY) return firstLine(input);
  const once = await unechoed(`${what}: `, input, ask);
  const twice = await unechoed("The same again: ", input, ask);
  if (once === twice) return once;
  throw new RequestError([
    { what: "password", where: "terminal", expected: "the same twice", got: "two different ones" },
  ]);
}

async function firstLine(input: NodeJS.ReadStream): Promise<string> {
  let text = "";
  input.setEncoding("utf8");
  for await (const chunk of input) {
    text += String(chunk);
    if (text.length > MOST_BYTES || text.includes("\n")) break;
  }
  const line = text.split(/\r?\n/, 1)[0] ?? "";
  if (line !== "") return line;
  throw new RequestError([{ what: "password", where: "standard input", expected: "a line with it", got: "nothing" }]);
}

function unechoed(question: string, input: ReadStream, ask: (text: string) => void): Promise<string> {
  ask(question);
  input.setRawMode(true);
  input.setEncoding("utf8");
  input.resume();
  return new Promise((resolve, reject) => {
    let typed = "";
    const finish = (settle: () => void): void => {
      input.off("data", take);
      input.setRawMode(false);
      input.pause();
      ask("\n");
      settle();
    };
    const take = (text: string): void => {
      for (const character of text) {
        if (character === CONTROL_C || character === CONTROL_D) {
          finish(() => reject(new BadNews(["given up: nothing was changed"])));
          return;
        }
        if (ENTER.test(character)) {
          finish(() => resolve(typed));
          return;
        }
        typed = ERASE.test(character) ? [...typed].slice(0, -1).join("") : `${typed}${character}`.slice(0, MOST_BYTES);
      }
    };
    input.on("data", take);
  });
}
