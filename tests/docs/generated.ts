// What the two documents hold that a program can print: which block, in which document, and the text it must have.
// The estimator's figures take minutes to measure; their block carries a fingerprint of the code that they were measured on.

import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Command } from "commander";
import ts from "typescript";
import { COMMANDS } from "../../daemon/commands/catalogue.ts";
import { alarmTableMarkdown } from "../../daemon/core/protect/alarm-list.ts";

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
    { document: "README.md", block: "alarms", text: `${alarmTableMarkdown()}\n` },
  ];
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

/** What the estimator's figures depend on. */
const ESTIMATOR_SOURCES: readonly { readonly folder: string; readonly name: RegExp }[] = [
  { folder: "daemon/core/estimate", name: /\.ts$/ },
  { folder: "daemon/core/physics", name: /\.ts$/ },
  { folder: "hardware/simulated", name: /^plant.*\.ts$/ },
  { folder: "tests/bench", name: /^estimator.*\.ts$/ },
];

/** A hash of the code that the figures were measured on; comments and layout do not count. */
export function estimatorFingerprint(): string {
  const hash = createHash("sha256");
  for (const { folder, name } of ESTIMATOR_SOURCES) {
    const files = readdirSync(join(CHECKOUT, folder))
      .filter((file) => name.test(file))
      .sort();
    for (const file of files) {
      const { outputText } = ts.transpileModule(readFileSync(join(CHECKOUT, folder, file), "utf8"), {
        compilerOptions: { target: ts.ScriptTarget.ES2023, removeComments: true },
      });
      hash.update(`${folder}/${file}\n${outputText.replaceAll(/\s+/g, " ")}`);
    }
  }
  return hash.digest("hex").slice(0, 16);
}

/** The line that ties a measured table to its code. */
export function fingerprintLine(): string {
  return `<!-- measured on code ${estimatorFingerprint()} -->\n`;
}
