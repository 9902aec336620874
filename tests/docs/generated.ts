// What the two documents hold that a program can print: which block, in which document, and the text it must have.
// The estimator's figures take minutes to measure; their block carries a fingerprint of the code that they were measured on.

import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { Command } from "commander";
import ts from "typescript";
import { COMMANDS } from "../../daemon/commands/catalogue.ts";
import { alarmTableMarkdown } from "../../daemon/core/protect/alarm-list.ts";
import { topicTableMarkdown } from "../../daemon/outputs/mqtt/topics.ts";
import { drawSheet } from "../../hardware/wiring/draw.ts";
import { allSheets } from "../../hardware/wiring/index.ts";
import { partsTable, pinsTable } from "../../hardware/wiring/tables.ts";

/** One block of a document and its present text. */
export type Generated = { readonly document: string; readonly block: string; readonly text: string };

/** The checkout, whether this runs from source or compiled below `dist/`. */
export const CHECKOUT = fileURLToPath(
  new URL(import.meta.url.includes("/dist/") ? "../../.." : "../..", import.meta.url),
);

/** Every block that is cheap to print. */
export async function generatedBlocks(): Promise<readonly Generated[]> {
  return [
    { document: "README.md", block: "commands", text: await commandTable() },
    { document: "README.md", block: "config", text: `\`\`\`toml\n${exampleConfig()}\`\`\`\n` },
    { document: "README.md", block: "topics", text: topicTableMarkdown() },
    { document: "README.md", block: "alarms", text: `${alarmTableMarkdown()}\n` },
    { document: "hardware/wiring/README.md", block: "parts", text: partsTable() },
    { document: "hardware/wiring/README.md", block: "pins", text: pinsTable() },
  ];
}

/** The drawings of hardware/wiring: file and text. They are kept in the checkout, because they are read before anything is built. */
export function drawings(): readonly { readonly file: string; readonly text: string }[] {
  return allSheets().map((sheet) => ({ file: `hardware/wiring/drawings/${sheet.name}.svg`, text: drawSheet(sheet) }));
}

/** The station that tests/config/uses.test.ts reads. */
function exampleConfig(): string {
  return readFileSync(join(CHECKOUT, "systemd/emberwire.toml"), "utf8");
}

async function commandTable(): Promise<string> {
  const program = new Command();
  for (const load of Object.values(COMMANDS)) (await load()).register(program);
  const rows = program.commands.flatMap((command) =>
    command.commands.length === 0
      ? [`| \`${command.name()}\` | ${command.description()} |`]
      : command.commands.map((child) => `| \`${command.name()} ${child.name()}\` | ${child.description()} |`),
  );
  return ["| command | does |", "| --- | --- |", ...rows, ""].join("\n");
}

/** Where the measurement of the estimator begins; it depends on everything that this file imports, however indirectly. */
const ESTIMATOR_BENCH = "tests/bench/estimator.ts";

/** A hash of the code that the figures were measured on; types, comments and layout do not count. */
function estimatorFingerprint(): string {
  const seen = new Map<string, string>();
  const waiting = [ESTIMATOR_BENCH];
  for (let path = waiting.pop(); path !== undefined; path = waiting.pop()) {
    if (seen.has(path)) continue;
    const code = withoutTypesAndComments(path);
    seen.set(path, code);
    for (const { fileName } of ts.preProcessFile(code).importedFiles) {
      if (fileName.startsWith(".")) waiting.push(join(dirname(path), fileName));
    }
  }
  const hash = createHash("sha256");
  for (const [path, code] of [...seen].sort(([a], [b]) => (a < b ? -1 : 1))) hash.update(`${path}\n${code}`);
  return hash.digest("hex").slice(0, 16);
}

function withoutTypesAndComments(path: string): string {
  const compilerOptions = { target: ts.ScriptTarget.ES2023, module: ts.ModuleKind.ESNext, removeComments: true };
  const { outputText } = ts.transpileModule(readFileSync(join(CHECKOUT, path), "utf8"), { compilerOptions });
  return outputText.replaceAll(/\s+/g, " ");
}

/** The line that ties a measured table to its code. */
export function fingerprintLine(): string {
  return `<!-- measured on code ${estimatorFingerprint()} -->\n`;
}
