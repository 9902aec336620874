// Config text → frozen Config, or every problem with its line: what, where, expected, got; an unknown key names its nearest.
// It checks what one value or table says; what values mean together is checked where they are put to use.

import type * as z from "zod";
import { nearest } from "./nearest.ts";
import { type Problem, RequestError } from "./problem.ts";
import {
  type Config,
  configJsonSchema,
  configSchema,
  type OverviewTable,
  overviewConfigSchema,
} from "./schema/config.ts";
import { readTextFile } from "./text-file.ts";
import { type KeyPath, readToml, type TomlDocument } from "./toml.ts";
import { bringForward, FORM_STEPS, type FormStep } from "./version.ts";

const LARGEST_BYTES = 1024 * 1024;

/** A config with the place each value was written at, for problems found later. */
export type ReadConfig = {
  readonly config: Config;
  /** `file:line` of a key, or the file where it is not written. */
  readonly placeOf: (path: KeyPath) => string;
  /** What was changed, in memory only, to read a file of an older version; empty for today's. */
  readonly changes: readonly string[];
};

/** @throws RequestError with every problem; nothing is taken from a config that has one */
export function parseConfig(text: string, file: string, steps: readonly FormStep[] = FORM_STEPS): ReadConfig {
  const { document, changes } = readForm(text, file, steps);
  const { placeOf, data } = checked(configSchema, document, file);
  return { config: deepFreeze(data), placeOf, changes };
}

function checked<Data>(schema: z.ZodType<Data>, document: TomlDocument, file: string) {
  const placeOf = (path: KeyPath): string => {
    const line = document.lineOf(path);
    return line === null ? file : `${file}:${line}`;
  };
  const parsed = schema.safeParse(document.value);
  if (parsed.success) return { placeOf, data: parsed.data };
  throw new RequestError(parsed.error.issues.flatMap((issue) => problemsOf(issue, document, placeOf)));
}

/** What the overview needs of a config, with the places of its keys. */
export type ReadOverview = { readonly overview: OverviewTable; readonly placeOf: ReadConfig["placeOf"] };

/** A config for the overview: any other table may be left out. @throws RequestError with every problem */
export function readOverviewFile(file: string): ReadOverview {
  const { document } = readForm(readConfigText(file), file, FORM_STEPS);
  const { placeOf, data } = checked(overviewConfigSchema, document, file);
  return { overview: deepFreeze(data.overview), placeOf };
}

/** @throws RequestError when the file cannot be read or holds problems */
export function readConfigFile(file: string): ReadConfig {
  return parseConfig(readConfigText(file), file);
}

/** @throws RequestError when the file cannot be read */
export function readConfigText(file: string): string {
  return readTextFile(file, { what: "--config", where: "command line", mostBytes: LARGEST_BYTES });
}

/** The text as today's version would have it. @throws RequestError for one that is no TOML, or of a newer version */
export function formOf(text: string, file: string, steps: readonly FormStep[] = FORM_STEPS) {
  const document = readToml(text, file);
  const line = document.lineOf(["version"]);
  const { version } = document.value as { readonly version?: unknown };
  return { document, ...bringForward(text, version, line === null ? file : `${file}:${line}`, steps) };
}

function readForm(text: string, file: string, steps: readonly FormStep[]) {
  const { document, text: forward, changes } = formOf(text, file, steps);
  // Steps keep every key on its line, so that places found in the new text are those of the file.
  return { document: changes.length === 0 ? document : readToml(forward, file), changes };
}

const KINDS: Readonly<Record<string, string>> = {
  object: "a table",
  array: "an array",
  string: "a text",
  number: "a number",
  int: "a whole number",
  boolean: "true or false",
  tuple: "an array",
};

function problemsOf(issue: z.core.$ZodIssue, document: TomlDocument, placeOf: ReadConfig["placeOf"]): Problem[] {
  const path = issue.path.filter((part) => typeof part !== "symbol");
  if (issue.code === "unrecognized_keys") {
    return issue.keys.map((key) => {
      const known = knownKeys(path);
      const near = nearest(key, known);
      const expected = near === null ? `one of ${known.join(", ")}` : `a known key; the nearest is "${near}"`;
      return { what: nameOf([...path, key]), where: placeOf([...path, key]), expected, got: `"${key}"` };
    });
  }
  const params = issue.code === "custom" ? issue.params : undefined;
  const said = typeof params?.["got"] === "string" ? params["got"] : null;
  return [
    {
      what: nameOf(path),
      where: placeOf(path),
      expected: expectedOf(issue),
      got: said ?? shown(valueAt(document.value, path)),
    },
  ];
}

function expectedOf(issue: z.core.$ZodIssue): string {
  // Fields bring their own words; zod's begin with "Invalid" and are put into ours.
  if (!issue.message.startsWith("Invalid")) return issue.message;
  if (issue.code === "invalid_type") return KINDS[issue.expected] ?? issue.expected;
  return "another value";
}

/** `sensor[1].address`; the whole text where the path is empty. */
function nameOf(path: KeyPath): string {
  const name = path.reduce<string>(
    (so, part) => (typeof part === "number" ? `${so}[${part}]` : so === "" ? part : `${so}.${part}`),
    "",
  );
  return name === "" ? "config" : name;
}

function valueAt(value: unknown, path: KeyPath): unknown {
  return path.reduce<unknown>(
    (so, part) =>
      typeof so === "object" && so !== null ? (so as Readonly<Record<string, unknown>>)[String(part)] : undefined,
    value,
  );
}

function shown(value: unknown): string {
  if (value === undefined) return "nothing";
  if (value instanceof Date) return "a date";
  return (JSON.stringify(value) ?? String(value)).slice(0, 60);
}

/** The keys that may stand at a place, from the schema itself. */
function knownKeys(path: KeyPath): readonly string[] {
  type Node = { readonly properties?: Readonly<Record<string, Node>>; readonly items?: Node };
  let node: Node | undefined = configJsonSchema() as Node;
  for (const part of path) node = typeof part === "number" ? node?.items : node?.properties?.[part];
  return Object.keys(node?.properties ?? {});
}

function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null) {
    for (const inner of Object.values(value)) deepFreeze(inner);
    Object.freeze(value);
  }
  return value;
}
