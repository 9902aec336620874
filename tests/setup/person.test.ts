// Who answers: a terminal asks again with what was expected, a file of answers is refused with its line, and neither invents one.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { PassThrough } from "node:stream";
import { describe, expect, it } from "vitest";
import { describeProblem, RequestError } from "../../daemon/config/problem.ts";
import { BadNews } from "../../daemon/exit.ts";
import { atTerminal, fromAnswers, type Question } from "../../daemon/setup/person.ts";
import { FAN, LIMITS, PLACE, TRANSFORMER } from "../../daemon/setup/questions.ts";
import { testFolder } from "../support/folder.ts";

const TURNS: Question = {
  key: "turns",
  text: "Turns",
  fallback: null,
  wrong: (answer) => (/^\d+$/.test(answer) ? null : "a number"),
};

function typing(text: string) {
  const input = new PassThrough();
  const said: string[] = [];
  const output = new PassThrough();
  const person = atTerminal({ input, output, say: (words) => said.push(words), leave: () => undefined });
  input.end(text);
  return { person, said };
}

describe("at a terminal", () => {
  it("a wrong answer is asked again with what was expected, Enter takes the fallback", async () => {
    const { person, said } = typing("many\n\n 3 \n\n");
    expect(await person.ask(TURNS)).toBe("3");
    expect(said.join("")).toContain('Expected a number, got "many"');
    expect(await person.ask({ ...TURNS, fallback: "7" })).toBe("7");
    expect(said.join("")).toContain("Turns [7]: ");
  });

  it("the end of the input is no answer", async () => {
    const { person } = typing("");
    await expect(person.ask(TURNS)).rejects.toThrow(BadNews);
    await expect(typing("many").person.ask(TURNS)).rejects.toThrow(/nothing was written/);
  });
});

describe("from a file", () => {
  const inFile = (text: string) => {
    const file = join(testFolder(), "answers.toml");
    writeFileSync(file, text);
    return { file, person: fromAnswers(file) };
  };
  const refused = async (work: Promise<unknown>, file: string): Promise<readonly string[]> => {
    const error: unknown = await work.then(
      () => null,
      (cause: unknown) => cause,
    );
    return error instanceof RequestError ? error.problems.map((one) => describeProblem(one).replace(file, "F")) : [];
  };

  it("numbers and texts alike, fallbacks where it says nothing", async () => {
    const { person } = inFile('turns = 3\n"i2c-1 0x18" = "wall"\n');
    expect(await person.ask(TURNS)).toBe("3");
    expect(await person.ask({ ...TURNS, key: "i2c-1 0x18", wrong: () => null })).toBe("wall");
    expect(await person.ask({ ...TURNS, key: "more", fallback: "9" })).toBe("9");
    person.done();
  });

  it("what will not do is refused with its line; so is what is missing, and what nobody asked", async () => {
    const { person, file } = inFile('\nturns = "many"\nturn = 3\n');
    expect(await refused(person.ask(TURNS), file)).toEqual(['F:2: turns: expected a number, got "many"']);
    expect(await refused(person.ask({ ...TURNS, key: "other" }), file)).toEqual([
      "F: other: expected a number, got nothing",
    ]);
    const strange = Promise.resolve().then(() => person.done());
    expect(await refused(strange, file)).toEqual([
      'F:3: turn: expected one asked for; the nearest is "turns", got this',
    ]);
  });
});

describe("the questions", () => {
  const all = [...PLACE, ...TRANSFORMER, FAN.pulses, FAN.speed, FAN.supply, ...LIMITS];

  it.each(all.map((question) => [`${question.table}.${question.name}`, question] as const))(
    "%s: its own fallback will do, nonsense will not",
    (_name, { fallback, wrong }) => {
      if (fallback !== null) expect(wrong(fallback)).toBeNull();
      expect(wrong("\u0007\n")).toMatch(/\S/);
    },
  );

  it("a mix is a text, a count a number", () => {
    const values = TRANSFORMER.map(({ name, value }) => [name, value("43")]);
    expect(Object.fromEntries(values)).toMatchObject({ mix: "43", toroids: 43, primary_turns: 43 });
  });
});
