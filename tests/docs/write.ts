// Writes the generated blocks into the documents, and the drawings. With `--estimator` it also measures the estimator, which takes minutes.

import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { writeBlock } from "./blocks.ts";
import { CHECKOUT, drawings, fingerprintLine, generatedBlocks } from "./generated.ts";

function put(document: string, block: string, text: string): void {
  const path = join(CHECKOUT, document);
  writeFileSync(path, writeBlock(readFileSync(path, "utf8"), block, text));
}

for (const { document, block, text } of await generatedBlocks()) put(document, block, text);
for (const { file, text } of drawings()) writeFileSync(join(CHECKOUT, file), text);

if (process.argv.includes("--estimator")) {
  const fingerprint = fingerprintLine();
  const table = execFileSync(process.execPath, [join(CHECKOUT, "dist/tests/bench/estimator.js")], {
    encoding: "utf8",
    maxBuffer: 1_000_000,
    stdio: ["ignore", "pipe", "inherit"],
  });
  put("DEVELOPERS.md", "estimator", `${fingerprint}\n${table}`);
}
