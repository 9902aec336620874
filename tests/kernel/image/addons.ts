// Cross-compiles the native addons for the guest from the very sources in node_modules, with the headers of the guest's node.

import { mkdir, readFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "./exec.ts";
import type { NodeArmv7 } from "./node-armv7.ts";

/** A compiled addon and the place in node_modules where its package looks for it. */
export type Addon = { readonly file: string; readonly place: string };

const PREFIX = "arm-linux-gnueabihf-";
/** As Node's own build: no RTTI or exceptions in addons; warnings are the addon authors' business. */
const FLAGS = ["-O2", "-fPIC", "-w", "-DBUILDING_NODE_EXTENSION", "-DNODE_GYP_MODULE_NAME=addon"];
const CXX_FLAGS = [...FLAGS, "-fno-exceptions", "-fno-rtti"];

async function packageVersion(folder: string): Promise<string> {
  const text = JSON.parse(await readFile(join(folder, "package.json"), "utf8")) as { version: string };
  return text.version;
}

async function once(file: string, build: (part: string) => Promise<void>): Promise<void> {
  const known = await readFile(file).then(
    () => true,
    () => false,
  );
  if (known) return;
  const part = `${file}.part`;
  await build(part);
  await rename(part, file);
}

async function nanAddon(modules: string, node: NodeArmv7, out: string, name: string, source: string): Promise<string> {
  const folder = join(modules, name);
  const file = join(out, `${name}-${await packageVersion(folder)}-node${node.version}.node`);
  const nan = join(modules, "nan");
  await once(file, async (part) => {
    await exec(
      `${PREFIX}g++`,
      ["-shared", "-std=gnu++17", ...CXX_FLAGS, `-I${node.headers}`, `-I${nan}`, join(folder, source), "-o", part],
      { deadlineSeconds: 180 },
    );
  });
  return file;
}

/** SQLite's compile-time options stand in the binding's own build description; none is repeated here. */
async function sqliteDefines(folder: string): Promise<string[]> {
  const text = await readFile(join(folder, "deps", "defines.gypi"), "utf8");
  return [...text.matchAll(/'([A-Z][^']*)'/g)].map((match) => `-D${match[1]}`);
}

async function database(modules: string, node: NodeArmv7, out: string): Promise<string> {
  const folder = join(modules, "better-sqlite3");
  const file = join(out, `better-sqlite3-${await packageVersion(folder)}-node${node.version}.node`);
  await once(file, async (part) => {
    const sqlite = join(folder, "deps", "sqlite3");
    const objects = [`${part}.sqlite3.o`, `${part}.binding.o`] as const;
    const defines = await sqliteDefines(folder);
    const include = [`-I${sqlite}`, `-I${node.headers}`];
    await Promise.all([
      exec(`${PREFIX}gcc`, ["-c", "-O1", "-fPIC", "-w", ...defines, join(sqlite, "sqlite3.c"), "-o", objects[0]], {
        deadlineSeconds: 300,
      }),
      exec(
        `${PREFIX}g++`,
        ["-c", "-std=c++20", "-O1", "-fPIC", "-w", "-DBUILDING_NODE_EXTENSION", "-DNODE_GYP_MODULE_NAME=better_sqlite3"]
          .concat(include)
          .concat([join(folder, "src", "better_sqlite3.cpp"), "-o", objects[1]]),
        { deadlineSeconds: 300 },
      ),
    ]);
    await exec(`${PREFIX}g++`, ["-shared", "-Wl,-Bsymbolic", "-Wl,--exclude-libs,ALL", ...objects, "-o", part], {
      deadlineSeconds: 120,
    });
    await Promise.all(objects.map((object) => rm(object)));
  });
  return file;
}

/** All addons of the daemon, compiled or from the cache. */
export async function crossAddons(
  cache: string,
  modules: string,
  node: NodeArmv7,
  say: (line: string) => void,
): Promise<readonly Addon[]> {
  const out = join(cache, "addons");
  await mkdir(out, { recursive: true });
  say("cross-compiling epoll, i2c-bus and better-sqlite3");
  const epoll = await nanAddon(modules, node, out, "epoll", "src/epoll.cc");
  const i2c = await nanAddon(modules, node, out, "i2c-bus", "src/i2c.cc");
  const sqlite = await database(modules, node, out);
  return [
    { file: epoll, place: "epoll/build/Release/epoll.node" },
    { file: i2c, place: "i2c-bus/build/Release/i2c.node" },
    { file: sqlite, place: "better-sqlite3/build/Release/better_sqlite3.node" },
  ];
}
