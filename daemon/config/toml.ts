// TOML text → plain values, and the line on which each of them stands. It knows the grammar, not what may be configured.

import { type AST, getStaticTOMLValue, ParseError, parseTOML } from "toml-eslint-parser";
import { type Problem, RequestError } from "./problem.ts";

/** Keys and indices from the top, e.g. `["sensor", 0, "address"]`. */
export type KeyPath = readonly (string | number)[];

export type TomlDocument = {
  readonly file: string;
  readonly value: unknown;
  /** Line of the key, or of the nearest table above it that is written; null when none is. */
  readonly lineOf: (path: KeyPath) => number | null;
};

/** @throws RequestError with the line on which the text stops being TOML */
export function readToml(text: string, file: string): TomlDocument {
  const program = parse(text, file);
  const lines = new Map<string, number>();
  const top = program.body[0];
  for (const node of top.body) {
    if (node.type === "TOMLTable") {
      for (let depth = 1; depth <= node.resolvedKey.length; depth += 1)
        note(lines, node.resolvedKey.slice(0, depth), node);
      for (const pair of node.body) notePair(lines, node.resolvedKey, pair);
    } else notePair(lines, [], node);
  }
  const lineOf = (path: KeyPath): number | null => {
    for (let length = path.length; length > 0; length -= 1) {
      const line = lines.get(JSON.stringify(path.slice(0, length)));
      if (line !== undefined) return line;
    }
    return null;
  };
  refuseReserved(lines, file);
  return { file, value: getStaticTOMLValue(program), lineOf };
}

/** Names through which a plain object reaches what all objects share; the parser would write there. */
const RESERVED: ReadonlySet<string | number> = new Set(["__proto__", "constructor", "prototype"]);

function refuseReserved(lines: ReadonlyMap<string, number>, file: string): void {
  const problems = [...lines].flatMap(([path, line]) => {
    const key = (JSON.parse(path) as KeyPath).at(-1);
    return key === undefined || !RESERVED.has(key)
      ? []
      : [{ what: "TOML", where: `${file}:${line}`, expected: "a key that no program reserves", got: `"${key}"` }];
  });
  if (problems.length > 0) throw new RequestError(problems);
}

function parse(text: string, file: string): AST.TOMLProgram {
  try {
    return parseTOML(text, { tomlVersion: "1.0" });
  } catch (error) {
    if (!(error instanceof ParseError)) throw error;
    const line = text.split("\n")[error.lineNumber - 1]?.trim() ?? "";
    const problem: Problem = {
      what: "TOML",
      where: `${file}:${error.lineNumber}`,
      expected: `text that TOML allows (${error.message})`,
      got: line === "" ? "the end of the text" : JSON.stringify(line.slice(0, 60)),
    };
    throw new RequestError([problem]);
  }
}

function note(lines: Map<string, number>, path: KeyPath, node: AST.TOMLNode): void {
  const key = JSON.stringify(path);
  if (!lines.has(key)) lines.set(key, node.loc.start.line);
}

function notePair(lines: Map<string, number>, above: KeyPath, pair: AST.TOMLKeyValue): void {
  const path = [...above];
  for (const key of pair.key.keys) {
    path.push(key.type === "TOMLBare" ? key.name : key.value);
    note(lines, path, pair);
  }
  noteContent(lines, path, pair.value);
}

function noteContent(lines: Map<string, number>, path: KeyPath, node: AST.TOMLContentNode): void {
  if (node.type === "TOMLInlineTable") for (const pair of node.body) notePair(lines, path, pair);
  if (node.type !== "TOMLArray") return;
  for (const [index, element] of node.elements.entries()) {
    note(lines, [...path, index], element);
    noteContent(lines, [...path, index], element);
  }
}
