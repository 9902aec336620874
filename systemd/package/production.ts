// What of the checkout an installation runs: the compiled program, and the packages that it imports at run time, without what
// only their installation, compilers or readers of their sources need. It copies nothing.

import { access, readFile } from "node:fs/promises";
import { join } from "node:path";
import { ADDON_OWNERS } from "./addons.ts";

/** Packages that are named as dependencies and serve only compiling and installing: no file of them is ever imported. */
const FOR_INSTALLING_ONLY = /^(prebuild-install|nan|@types\/.*)$/;

/** Ready-made addons come from their own road, for the right architecture. */
const READY_MADE = /^@koromix\//;

/** Types, maps, sources in C, build descriptions and texts for readers. */
const NOT_RUN =
  /\.(md|markdown|map|d\.ts|d\.mts|d\.cts|ts|mts|cts|c|cc|cpp|h|hh|hpp|inc|lzz|gz|gyp|gypi|tsbuildinfo|yml)$/i;

/** Sources of addons, and binaries made for this machine. */
const OWN_BINARIES = new RegExp(`/node_modules/(${ADDON_OWNERS.join("|")})/(build|deps|src)(/|$)`);

/** Sources and parts for other uses: bundles for browsers, programs of their own. */
const LEFT_BEHIND =
  /\/node_modules\/(koffi\/(vendor|doc|lib|cnoke\.cjs|src\/koffi\/src\/(abi|trampolines\.cjs|uv\.def))|zod\/src|mqtt\/(dist|build\/bin))(\/|$)/;

/** What packages bring for their own developers and readers, at their top. */
const FOR_READERS =
  /\/node_modules\/(@[^/]+\/)?[^/]+\/(tests?|examples?|integration-test|docs?|benchmarks?|\.[^/]+|licen[cs]e[^/]*|copying[^/]*|authors|makefile|history[^/]*)(\/|$)/i;

type Entry = {
  readonly dependencies?: Readonly<Record<string, string>>;
  readonly optionalDependencies?: Readonly<Record<string, string>>;
};
type Lock = { readonly packages: Readonly<Record<string, Entry>> };

/** The parts of the compiled program that the daemon is made of, below the checkout. */
export const PROGRAM_PARTS = ["package.json", "dist/daemon", "dist/hardware", "dist/web", "systemd/release-lines.sh"];

/** Whether an installation runs this file. */
export function isRun(path: string): boolean {
  return [NOT_RUN, OWN_BINARIES, LEFT_BEHIND, FOR_READERS].every((pattern) => !pattern.test(path));
}

/**
 * Folders of the packages that the daemon imports, below the checkout, sorted.
 * Follows `package-lock.json` as Node follows folders: a package's own `node_modules` before those above it.
 */
export async function productionPackages(checkout: string): Promise<readonly string[]> {
  const { packages } = JSON.parse(await readFile(join(checkout, "package-lock.json"), "utf8")) as Lock;
  const found = new Set<string>();
  const waiting = [""];
  for (let from = waiting.pop(); from !== undefined; from = waiting.pop()) {
    const { dependencies, optionalDependencies } = packages[from] ?? {};
    for (const name of Object.keys({ ...dependencies, ...optionalDependencies })) {
      const folder = FOR_INSTALLING_ONLY.test(name) || READY_MADE.test(name) ? null : folderOf(packages, from, name);
      if (folder === null || found.has(folder) || !(await isThere(join(checkout, folder)))) continue;
      found.add(folder);
      waiting.push(folder);
    }
  }
  return [...found].sort();
}

function folderOf(packages: Lock["packages"], from: string, name: string): string | null {
  for (let at = from; ; at = at.slice(0, Math.max(0, at.lastIndexOf("/node_modules/")))) {
    const folder = at === "" ? `node_modules/${name}` : `${at}/node_modules/${name}`;
    if (packages[folder] !== undefined) return folder;
    if (at === "") return null;
  }
}

function isThere(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}

/** Rejects when the program was not compiled and bundled. */
export async function expectBuilt(checkout: string): Promise<void> {
  for (const file of ["dist/daemon/main.js", "dist/web/index.html"])
    if (!(await isThere(join(checkout, file))))
      throw new Error(`${join(checkout, file)}: expected the built program, got nothing; run npm run build`);
}
