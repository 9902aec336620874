// Node itself in a version that is to be tried, with its headers, from the packages of the npm registry. Fetched once.

import { access, mkdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "../../systemd/package/exec.ts";
import { headersIn, type NodeHeaders } from "../../systemd/package/node-headers.ts";

export type NodeVersion = NodeHeaders & { readonly binary: string };

/** From the cache, or fetched now; for this machine's architecture. */
export async function nodeVersion(cache: string, version: string, say: (line: string) => void): Promise<NodeVersion> {
  const home = join(cache, `node-${version}-${process.arch}`);
  const found = async (): Promise<NodeVersion> => ({ ...(await headersIn(home)), binary: join(home, "bin", "node") });
  const present = await access(home).then(
    () => true,
    () => false,
  );
  if (present) return await found();
  say(`fetching node ${version}`);
  const half = `${home}.part`;
  await rm(half, { recursive: true, force: true });
  await mkdir(half, { recursive: true });
  const packed = await exec("npm", ["pack", "--silent", `node-linux-${process.arch}@${version}`], {
    deadlineSeconds: 300,
    cwd: half,
  });
  const archive = join(half, packed.trim());
  const wanted = ["package/bin/node", "package/include"];
  await exec("tar", ["xzf", archive, "-C", half, "--strip-components=1", ...wanted], { deadlineSeconds: 120 });
  await rm(archive);
  await rename(half, home);
  return await found();
}
