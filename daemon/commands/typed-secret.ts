// A password as a person or a pipe gives it: from the terminal without an echo, else the first line of standard input.
// It keeps nothing and prints nothing but its question.

import type { ReadStream } from "node:tty";
import { RequestError } from "../config/problem.ts";
import { BadNews } from "../exit.ts";

const MOST_BYTES = 4096;
/** What a terminal sends for Ctrl-C and Ctrl-D while nothing is echoed. */
const GIVEN_UP: readonly string[] = ["\u0003", "\u0004"];
const ENTER = /[\r\n]/;
const ERASE = /[\u007f\b]/;

/** Standard input, and where its question is written. */
export type Terminal = { readonly input: NodeJS.ReadStream; readonly ask: (text: string) => void };

/** On a terminal the password twice, without an echo; from a pipe its first line. @throws RequestError when the two differ or nothing comes */
export async function typedSecret(what: string, { input, ask }: Terminal): Promise<string> {
  if (!input.isTTY) return firstLine(input);
  const [once, twice] = await unechoed([`${what}: `, "The same again: "], input, ask);
  if (once !== undefined && once === twice) return once;
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

/**
 * A line for each question. The echo is off before the first is asked and until the last is answered, so that nothing which is typed
 * ahead is seen. @throws BadNews when the person gives up or the terminal goes away
 */
function unechoed(
  questions: readonly string[],
  input: ReadStream,
  ask: (text: string) => void,
): Promise<readonly string[]> {
  input.setRawMode(true);
  input.setEncoding("utf8");
  ask(questions[0] ?? "");
  return new Promise((resolve, reject) => {
    const lines: string[] = [];
    let typed = "";
    const finish = (settle: () => void): void => {
      input.off("data", take).off("end", giveUp);
      input.setRawMode(false);
      input.pause();
      ask("\n");
      settle();
    };
    const giveUp = (): void => finish(() => reject(new BadNews(["given up: nothing was changed"])));
    const take = (text: string): void => {
      for (const character of text) {
        if (GIVEN_UP.includes(character)) {
          giveUp();
          return;
        }
        if (ENTER.test(character)) {
          lines.push(typed);
          typed = "";
          if (lines.length === questions.length) {
            finish(() => resolve(lines));
            return;
          }
          ask(`\n${questions[lines.length]}`);
        } else if (ERASE.test(character)) typed = [...typed].slice(0, -1).join("");
        else typed = `${typed}${character}`.slice(0, MOST_BYTES);
      }
    };
    input.on("data", take).on("end", giveUp);
  });
}
