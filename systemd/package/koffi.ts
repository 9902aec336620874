// koffi's ready-made addon for an architecture, from the npm registry, where its own installation gets it. It compiles nothing.

import { access, mkdir, readFile, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import type { Architecture } from "./architectures.ts";
import { exec } from "./exec.ts";

/** The unpacked package for `target`, in the version that the checkout has; for glibc only. */
export async function fetchKoffi(
  cache: string,
  modules: string,
  target: Architecture,
  say: (line: string) => void,
): Promise<string> {
  const { version } = JSON.parse(await readFile(join(modules, "koffi", "package.json"), "utf8")) as { version: string };
  const home = join(cache, `koffi-${version}-${target.debian}`);
  const present = await access(home).then(
    () => true,
    () => false,
  );
  if (present) return home;
  say(`fetching ${target.koffi.name} ${version}`);
  const half = `${home}.part`;
  await rm(half, { recursive: true, force: true });
  await mkdir(half, { recursive: true });
  const packed = await exec("npm", ["pack", "--silent", `${target.koffi.name}@${version}`], {
    deadlineSeconds: 120,
    cwd: half,
  });
  const archive = join(half, packed.trim());
  const wanted = ["index.js", "package.json", target.koffi.folder].map((name) => `package/${name}`);
  await exec("tar", ["xzf", archive, "-C", half, "--strip-components=1", ...wanted], { deadlineSeconds: 60 });
  await rm(archive);
  await rename(half, home);
  return home;
}
