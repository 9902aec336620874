// The documents say what the program says: each generated block is current, and the estimator's figures belong to this code.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readBlock, writeBlock } from "./blocks.ts";
import { CHECKOUT, drawings, fingerprintLine, generatedBlocks } from "./generated.ts";

const documentText = (name: string): string => readFileSync(join(CHECKOUT, name), "utf8");

describe("generated blocks (npm run docs)", async () => {
  it.each(await generatedBlocks())("$document, $block", ({ document, block, text }) => {
    expect(readBlock(documentText(document), block)).toBe(text);
  });

  it.each(drawings())("$file", ({ file, text }) => {
    expect(documentText(file)).toBe(text);
  });

  it("the estimator's figures were measured on this code (npm run docs -- --estimator)", () => {
    expect(readBlock(documentText("DEVELOPERS.md"), "estimator")).toContain(fingerprintLine());
  });
});

describe("writeBlock", () => {
  it("replaces only its own block, and refuses when the marks are lost", () => {
    const before = "a\n<!-- generated: x -->\nold\n<!-- /generated: x -->\nb\n";
    expect(writeBlock(before, "x", "$1 new\n")).toBe("a\n<!-- generated: x -->\n$1 new\n<!-- /generated: x -->\nb\n");
    expect(() => writeBlock(before, "y", "")).toThrow('no block "y"');
  });
});
