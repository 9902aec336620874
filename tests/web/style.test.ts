// The style sheet against the page that wears it: every class it names is used, every class the page uses is styled or
// stands in the list of names that are only for finding, and every part is bundled.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";
import { describe, expect, it } from "vitest";

const FOLDER = new URL("../../web/", import.meta.url).pathname;

const files = (extension: string): readonly string[] =>
  readdirSync(FOLDER, { recursive: true, encoding: "utf8" }).filter((name) => name.endsWith(extension));
const read = (name: string): string => readFileSync(join(FOLDER, name), "utf8");

const parts = files(".css").filter((name) => name.startsWith("style/"));
const css = parts
  .map(read)
  .join("\n")
  .replaceAll(/\/\*.*?\*\//gs, "");
/** Names in selectors only; `0.5rem` is no class. */
const styled = new Set(
  [...css.matchAll(/([^{}]+)\{/g)].flatMap(([, selector = ""]) =>
    [...selector.matchAll(/\.([a-z][\w-]*)/g)].map(([, name = ""]) => name),
  ),
);

/** Every word of a class attribute; `age-${…}` gives `age-*`. */
function wordsOf(node: ts.Node, joined: boolean, into: string[]): void {
  const take = (text: string, open: boolean): void => {
    const words = text.split(/\s+/);
    if (joined) words.shift();
    if (open) words.push(`${words.pop() ?? ""}*`);
    into.push(...words.filter((word) => word !== "" && word !== "*"));
  };
  if (ts.isStringLiteralLike(node)) take(node.text, false);
  else if (ts.isTemplateExpression(node)) {
    take(node.head.text, true);
    let before = node.head.text;
    for (const { expression, literal } of node.templateSpans) {
      wordsOf(expression, !/(^|\s)$/.test(before), into);
      take(`x${literal.text}`.replace(/^x\S*/, ""), ts.isTemplateMiddle(literal));
      before = literal.text;
    }
  } else ts.forEachChild(node, (child) => wordsOf(child, joined, into));
}

function wornIn(name: string): readonly string[] {
  const words: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isJsxAttribute(node) && node.name.getText() === "class" && node.initializer !== undefined) {
      const { initializer } = node;
      wordsOf(ts.isJsxExpression(initializer) ? (initializer.expression ?? initializer) : initializer, false, words);
    }
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile(name, read(name), ts.ScriptTarget.ESNext, true, ts.ScriptKind.TSX));
  return words;
}

const worn = files(".tsx").flatMap(wornIn);
// `wear*` comes of a word to which more words are joined by a condition.
const whole = new Set(worn.filter((name) => !name.endsWith("-*")).map((name) => name.replace("*", "")));
const beginnings = worn.filter((name) => name.endsWith("-*")).map((name) => name.slice(0, -1));
const isWorn = (name: string): boolean => whole.has(name) || beginnings.some((begin) => name.startsWith(begin));

/** Names by which tests and scripts find a place; they look like nothing. */
const FOR_FINDING: readonly string[] = ["season-map", "season-wear"];

describe("the style sheet", () => {
  it("is one sheet that names each part once", () => {
    const named = [...read("style.css").matchAll(/@import "\.\/(style\/[\w-]+\.css)";/g)].map(([, name]) => name);
    expect(named.toSorted()).toEqual(parts.toSorted());
    expect(files(".css").filter((name) => !name.startsWith("style/"))).toEqual(["style.css"]);
  });

  it("has no rule for a class that nothing wears", () => {
    expect([...styled].filter((name) => !isWorn(name))).toEqual([]);
  });

  it("knows every class that is worn", () => {
    const unknown = [...whole].filter((name) => !styled.has(name));
    expect(unknown.toSorted()).toEqual([...FOR_FINDING].toSorted());
  });

  it("has a value for every custom property that a rule asks for", () => {
    const set = new Set([...css.matchAll(/(--[\w-]+)\s*:/g)].map(([, name]) => name));
    const code = [...files(".tsx"), ...files(".ts")].map(read).join("\n");
    const spoken = [
      ...[...code.matchAll(/--[a-z][a-z-]*/g)].map(([name]) => name),
      ...[...code.matchAll(/colour\("([a-z-]+)"\)/g)].map(([, name]) => `--${name}`),
    ];
    const inCode = (name: string): boolean =>
      spoken.some((one) => (one.endsWith("-") ? name.startsWith(one) : name === one));
    const asked = [...css.matchAll(/var\((--[\w-]+)/g)].map(([, name = ""]) => name);
    expect(asked.filter((name) => !set.has(name) && !inCode(name))).toEqual([]);
    expect([...set].filter((name = "") => !asked.includes(name) && !inCode(name))).toEqual([]);
  });
});
