// Holds the drawing of the architecture against the code: import directions, and where clocks, timers and chance may live.
// It reads the sources with the compiler's own scanner; it never runs them.

import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { fileURLToPath } from "node:url";
import ts from "typescript";
import { describe, expect, it } from "vitest";

const root = fileURLToPath(new URL("..", import.meta.url));

type Source = { readonly path: string; readonly text: string };
type Import = { readonly target: string; readonly typeOnly: boolean };

function sourcesBelow(folder: string): Source[] {
  return readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name) && !entry.name.endsWith(".d.ts"))
    .map((entry) => join(entry.parentPath, entry.name))
    .map((path) => ({ path: relative(root, path).split(sep).join("/"), text: readFileSync(path, "utf8") }));
}

/** Each file is parsed once, however many rules look at it. */
const parsed = new WeakMap<Source, ts.SourceFile>();

function parse(source: Source): ts.SourceFile {
  const known = parsed.get(source);
  if (known !== undefined) return known;
  const fresh = ts.createSourceFile(source.path, source.text, ts.ScriptTarget.ES2023, true);
  parsed.set(source, fresh);
  return fresh;
}

function visit(node: ts.Node, look: (node: ts.Node) => void): void {
  look(node);
  node.forEachChild((child) => visit(child, look));
}

/** Own files as repository paths, packages by name, `node:` modules as written. */
function resolveTarget(source: Source, specifier: string): string {
  if (!specifier.startsWith(".")) return specifier;
  return relative(root, resolve(root, dirname(source.path), specifier))
    .split(sep)
    .join("/");
}

function importsOf(source: Source): Import[] {
  const found: Import[] = [];
  visit(parse(source), (node) => {
    if ((ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) && node.moduleSpecifier !== undefined) {
      const specifier = (node.moduleSpecifier as ts.StringLiteral).text;
      const typeOnly = ts.isImportDeclaration(node)
        ? node.importClause?.phaseModifier === ts.SyntaxKind.TypeKeyword
        : node.isTypeOnly;
      found.push({ target: resolveTarget(source, specifier), typeOnly });
    }
    if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      const argument = node.arguments[0];
      if (argument !== undefined && ts.isStringLiteral(argument)) {
        found.push({ target: resolveTarget(source, argument.text), typeOnly: false });
      }
    }
  });
  return found;
}

type Rule = {
  readonly room: string;
  readonly except?: readonly string[];
  /** May the file in this room import that target? */
  readonly allows: (edge: Import) => boolean;
};

const within = (target: string, ...rooms: string[]): boolean =>
  rooms.some((room) => target === room || target.startsWith(`${room}/`));
const isNode = (target: string): boolean => target.startsWith("node:");
const isPackage = (target: string, ...names: string[]): boolean =>
  names.some((name) => target === name || target.startsWith(`${name}/`));

const RULES: readonly Rule[] = [
  { room: "daemon/core", allows: ({ target }) => within(target, "daemon/core") },
  { room: "daemon/wire", allows: ({ target }) => within(target, "daemon/wire") },
  {
    room: "hardware",
    except: ["hardware/simulated"],
    allows: ({ target }) =>
      (within(target, "hardware") && !within(target, "hardware/simulated")) ||
      isNode(target) ||
      isPackage(target, "onoff", "i2c-bus", "koffi"),
  },
  {
    room: "hardware/simulated",
    allows: ({ target }) => within(target, "hardware") || isNode(target),
  },
  {
    room: "daemon/access",
    allows: ({ target, typeOnly }) =>
      within(target, "daemon/access", "daemon/wire") ||
      (typeOnly && within(target, "hardware/ports.ts")) ||
      isNode(target),
  },
  ...["season", "station", "outputs"].map((room) => ({
    room: `daemon/${room}`,
    allows: ({ target, typeOnly }: Import) =>
      within(target, `daemon/${room}`, "daemon/wire", "daemon/access/places.ts") ||
      (typeOnly &&
        within(
          target,
          "daemon/core",
          "daemon/access",
          "hardware/ports.ts",
          "daemon/crossing/messages.ts",
          "daemon/season/record-page.ts",
        )) ||
      isNode(target) ||
      isPackage(
        target,
        "express",
        "helmet",
        "ws",
        "better-sqlite3",
        "suncalc",
        "nodemailer",
        "hyparquet-writer",
        "mqtt",
        "zod",
      ),
  })),
  {
    room: "web",
    except: ["web/vite.config.ts"],
    allows: ({ target }) =>
      within(target, "web", "daemon/wire", "daemon/core/physics") ||
      isPackage(target, "preact", "@preact/signals", "chart.js"),
  },
];

function violations(rule: Rule, sources: readonly Source[]): string[] {
  return sources
    .filter(({ path }) => within(path, rule.room) && !(rule.except ?? []).some((room) => within(path, room)))
    .flatMap((source) =>
      importsOf(source)
        .filter((edge) => !rule.allows(edge))
        .map((edge) => `${source.path} imports ${edge.target}`),
    );
}

const sources = ["daemon", "hardware", "web"].flatMap(sourcesBelow);

describe("import directions", () => {
  it.each(RULES)("$room imports only what the drawing lets it", (rule) => {
    expect(sources.some(({ path }) => within(path, rule.room))).toBe(true);
    expect(violations(rule, sources)).toEqual([]);
  });

  it("nobody imports the composition root", () => {
    const importers = sources.filter((source) =>
      importsOf(source).some(({ target }) => within(target, "daemon/main.ts", "daemon/commands/main.ts")),
    );
    expect(importers.map(({ path }) => path)).toEqual([]);
  });

  it("would notice a core file that reaches for the file system", () => {
    const stray = { path: "daemon/core/stray.ts", text: 'import { readFileSync } from "node:fs";' };
    const core = RULES.find(({ room }) => room === "daemon/core");
    expect(core && violations(core, [stray])).toEqual(["daemon/core/stray.ts imports node:fs"]);
  });
});

/** Who may read a clock, set a timer or throw dice; everybody else gets time and chance as arguments. */
const ROOMS_OF_TIME: Readonly<Record<string, readonly string[]>> = {
  "Date.now": ["hardware/clock.ts", "web"],
  "performance.now": ["hardware/clock.ts", "web"],
  "process.hrtime": ["hardware/clock.ts"],
  "Math.random": [],
  setTimeout: ["hardware/clock.ts", "web"],
  setInterval: ["hardware/clock.ts", "web"],
  setImmediate: ["hardware/clock.ts"],
};

function usesOf(name: string, source: Source): boolean {
  if (!source.text.includes(name)) return false;
  let used = false;
  visit(parse(source), (node) => {
    if (!ts.isCallExpression(node)) return;
    const callee = node.expression.getText();
    used ||= callee === name || callee === `globalThis.${name}` || callee.startsWith(`${name}.`);
  });
  return used;
}

describe("time and chance stay in their rooms", () => {
  it.each(Object.entries(ROOMS_OF_TIME))("%s", (name, rooms) => {
    const strays = sources.filter((source) => !within(source.path, ...rooms) && usesOf(name, source));
    expect(strays.map(({ path }) => path)).toEqual([]);
  });

  it("would notice a timer in the cycle", () => {
    expect(usesOf("setTimeout", { path: "daemon/cycle.ts", text: "setTimeout(() => {}, 10);" })).toBe(true);
  });
});

describe("every file says what it is", () => {
  it("opens with a comment", () => {
    const silent = sources.filter(({ text }) => !/^(#!.*\n)?(\/\/|\/\*)/.test(text));
    expect(silent.map(({ path }) => path)).toEqual([]);
  });
});
