// What the documents call by name is there: scripts of npm, and files of the sources by their names or the ends of their paths.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { CHECKOUT } from "./generated.ts";

const DOCUMENTS = ["README.md", "DEVELOPERS.md", "hardware/wiring/README.md"];
const ROOMS = ["daemon", "hardware", "systemd", "tests", "web"];

const text = (name: string): string => readFileSync(join(CHECKOUT, name), "utf8");

const SCRIPTS = Object.keys((JSON.parse(text("package.json")) as { scripts: Record<string, string> }).scripts);
/** Every file and folder below one, caches apart; a folder ends in a slash. */
function below(folder: string): readonly string[] {
  return readdirSync(join(CHECKOUT, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    if (entry.name.startsWith(".")) return [];
    return entry.isDirectory() ? [`/${path}/`, ...below(path)] : [`/${path}`];
  });
}

const PATHS = ROOMS.flatMap((room) => [`/${room}/`, ...below(room)]);

/** Names in code spans that have the look of a source, or of a folder of sources; `NAME.ts` and `*-routes.ts` stand for many. */
function sourcesIn(document: string): readonly string[] {
  const spans = [...document.matchAll(/`([\w@][\w@./-]*)`/g)].map(([, name = ""]) => name);
  const isFile = (name: string): boolean => /\.(tsx?|sh|css|asl|service)$/.test(name) && !/\bNAME\b/.test(name);
  const isFolder = (name: string): boolean => name.endsWith("/") && ROOMS.some((room) => name.startsWith(`${room}/`));
  return [...new Set(spans.filter((name) => isFile(name) || isFolder(name)))];
}

describe.each(DOCUMENTS)("%s", (name) => {
  it("names scripts that there are", () => {
    const named = [...text(name).matchAll(/npm run ([a-z:]+)/g)].map(([, script]) => script);
    expect(named.filter((script) => script !== undefined && !SCRIPTS.includes(script))).toEqual([]);
  });

  it("names sources that there are", () => {
    expect(sourcesIn(text(name)).filter((source) => !PATHS.some((path) => path.endsWith(`/${source}`)))).toEqual([]);
  });
});

// rigctld(1): without -T it listens on every address, and who reaches it can key the transmitter.
it("starts no rigctld that listens to the network", () => {
  const started = [text("README.md"), text("daemon/checkup/rig.ts")].map(
    (said) => /rigctld [^`)]*-m [^`)]*/.exec(said)?.[0],
  );
  for (const command of started) expect(command).toContain("-T 127.0.0.1");
});

it("finds names, and not words", () => {
  expect(
    sourcesIn("`daemon/cycle.ts`, `chip.ts`, `daemon/wire/`, `NAME.ts`, `step()`, `up == 0`, `model.toml`"),
  ).toEqual(["daemon/cycle.ts", "chip.ts", "daemon/wire/"]);
  expect(sourcesIn(text("DEVELOPERS.md")).length).toBeGreaterThan(50);
});
