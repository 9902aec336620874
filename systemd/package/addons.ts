// Compiles the native addons from the very sources in node_modules, for any architecture and Node whose headers are at hand.
// What was compiled before from the same sources with the same arguments comes from the cache.

import { createHash } from "node:crypto";
import { access, mkdir, readFile, rename } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "./exec.ts";
import type { NodeHeaders } from "./node-headers.ts";

/** What the addons are compiled for. */
export type AddonTarget = {
  /** Of compiler, linker and strip, as in `arm-linux-gnueabihf`. */
  readonly triplet: string;
  /** Names the binary interface; two of one name are one. */
  readonly node: NodeHeaders;
  /** Optimisation of the database's C code, most of the compiling. */
  readonly optimise: "-O1" | "-O2";
};

/** A compiled addon: whose it is, and the name under which its package looks for it. */
export type Addon = { readonly file: string; readonly owner: string; readonly name: string };

/** Where in `node_modules` the package looks for the addon, by the binary interface and architecture of the Node that runs. */
export function placeOf(addon: Addon, nodeAbi: number, nodeArchitecture: string): string {
  return `${addon.owner}/lib/binding/node-v${nodeAbi}-linux-${nodeArchitecture}/${addon.name}`;
}

/** Packages with an addon to compile; their own binaries, made for this machine, go nowhere else. */
export const ADDON_OWNERS = ["better-sqlite3", "epoll", "i2c-bus"] as const;

/** As Node's own build: no RTTI or exceptions in addons; warnings are the addon authors' business. */
const HARDENED = ["-fPIC", "-w", "-fstack-protector-strong", "-U_FORTIFY_SOURCE", "-D_FORTIFY_SOURCE=2"];
const ADDON = ["-DBUILDING_NODE_EXTENSION", "-std=gnu++20", "-O2"];
const LINKED = ["-shared", "-Wl,-z,relro,-z,now", "-Wl,-Bsymbolic", "-Wl,--exclude-libs,ALL"];

type Place = { readonly out: string; readonly modules: string; readonly target: AddonTarget };

async function packageVersion(folder: string): Promise<string> {
  const text = JSON.parse(await readFile(join(folder, "package.json"), "utf8")) as { version: string };
  return text.version;
}

/** Runs the compiler on one output, unless the cache has it. The name of the file says what it was made of. */
async function compiled(
  place: Place,
  owner: string,
  step: { readonly program: string; readonly args: readonly string[]; readonly ending: string; readonly node?: string },
): Promise<string> {
  const { out, modules, target } = place;
  const version = await packageVersion(join(modules, owner));
  const program = `${target.triplet}-${step.program}`;
  // Neither the place of the checkout nor that of the cache gets into the binary.
  const args = [...step.args, `-ffile-prefix-map=${modules}=.`, `-ffile-prefix-map=${out}=.`];
  const portable = step.args.map((arg) => arg.replaceAll(modules, "").replaceAll(out, ""));
  const hash = createHash("sha256").update(portable.join("\0")).digest("hex").slice(0, 8);
  const file = join(out, `${owner}-${version}-${target.triplet}${step.node ?? ""}-${hash}${step.ending}`);
  const known = await access(file).then(
    () => true,
    () => false,
  );
  if (known) return file;
  const part = `${file}.part${step.ending}`;
  await exec(program, [...args, "-o", part], { deadlineSeconds: 300 });
  if (step.ending === ".node")
    await exec(`${target.triplet}-strip`, ["--strip-unneeded", part], { deadlineSeconds: 30 });
  await rename(part, file);
  return file;
}

async function nanAddon(place: Place, owner: string, source: string, name: string): Promise<Addon> {
  const { modules, target } = place;
  const include = [`-I${target.node.headers}`, `-I${join(modules, "nan")}`];
  const file = await compiled(place, owner, {
    program: "g++",
    args: [
      ...[...LINKED, ...HARDENED, ...ADDON, "-fno-exceptions", "-fno-rtti", `-DNODE_GYP_MODULE_NAME=${name}`],
      ...[...include, join(modules, owner, source)],
    ],
    ending: ".node",
    node: `-node${target.node.version}`,
  });
  return { file, owner, name: `${name}.node` };
}

/** SQLite's compile-time options stand in the binding's own build description; none is repeated here. */
async function sqliteDefines(folder: string): Promise<string[]> {
  const text = await readFile(join(folder, "deps", "defines.gypi"), "utf8");
  return [...text.matchAll(/'([A-Z][^']*)'/g)].map((match) => `-D${match[1]}`);
}

/** The engine knows nothing of Node: one object serves all of an architecture's addons. */
async function sqlite(place: Place): Promise<string> {
  const folder = join(place.modules, "better-sqlite3");
  const source = join(folder, "deps", "sqlite3", "sqlite3.c");
  return await compiled(place, "better-sqlite3", {
    program: "gcc",
    args: ["-c", place.target.optimise, ...HARDENED, ...(await sqliteDefines(folder)), source],
    ending: ".o",
  });
}

async function database(place: Place, engine: string): Promise<Addon> {
  const { modules, target } = place;
  const folder = join(modules, "better-sqlite3");
  const include = [`-I${join(folder, "deps", "sqlite3")}`, `-I${target.node.headers}`];
  const file = await compiled(place, "better-sqlite3", {
    program: "g++",
    args: [
      ...[...LINKED, ...HARDENED, ...ADDON, "-DNODE_GYP_MODULE_NAME=better_sqlite3", ...include],
      ...[join(folder, "src", "better_sqlite3.cpp"), engine],
    ],
    ending: ".node",
    node: `-node${target.node.version}`,
  });
  return { file, owner: "better-sqlite3", name: "better_sqlite3.node" };
}

/** All addons of the daemon for each of the targets, which are of one architecture. Rejects with the compiler's words. */
export async function compileAddons(
  cache: string,
  modules: string,
  targets: readonly AddonTarget[],
  say: (line: string) => void,
): Promise<readonly (readonly Addon[])[]> {
  const out = join(cache, "addons");
  await mkdir(out, { recursive: true });
  const places = targets.map((target) => ({ out, modules, target }));
  const first = places[0];
  if (first === undefined) return [];
  say(`compiling the addons of ${ADDON_OWNERS.join(", ")} for ${first.target.triplet}`);
  // Two processes at most: one on the engine, which takes longest, one on all that need only Node's headers.
  const [object, small] = await Promise.all([sqlite(first), smallAddons(places)]);
  return await Promise.all(places.map(async (place, index) => [...small[index]!, await database(place, object)]));
}

async function smallAddons(places: readonly Place[]): Promise<readonly (readonly Addon[])[]> {
  const all: Addon[][] = [];
  for (const place of places) {
    const epoll = await nanAddon(place, "epoll", "src/epoll.cc", "epoll");
    all.push([epoll, await nanAddon(place, "i2c-bus", "src/i2c.cc", "i2c")]);
  }
  return all;
}
