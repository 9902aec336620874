// The package once more as a newer version, with something in it changed: what upgrades and downgrades are tried with.

import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";
import { exec } from "../../systemd/package/exec.ts";

/** Its file, which lives as long as the test; `change` gets the unpacked tree. */
export async function changedPackage(
  file: string,
  name: string,
  change: (tree: string) => Promise<void>,
): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), "emberwire-changed-"));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  const tree = join(folder, "tree");
  await exec("dpkg-deb", ["-R", file, tree], { deadlineSeconds: 60 });
  const control = join(tree, "DEBIAN/control");
  await writeFile(control, (await readFile(control, "utf8")).replace(/^Version: (.*)$/m, `Version: $1.1~${name}`));
  await change(tree);
  const changed = join(folder, `emberwire-${name}.deb`);
  await exec("dpkg-deb", ["--root-owner-group", "-Znone", "-b", tree, changed], { deadlineSeconds: 60 });
  return changed;
}
