// What of the checkout goes into the guest: the compiled program, its production packages, its unit. It compiles nothing.

import { access, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Cargo } from "./initramfs.ts";

/** Where the program lives in the guest. */
export const PROGRAM_FOLDER = "opt/emberwire";

/** Sources, headers and host binaries of native packages; the guest gets its own binaries. */
const NOT_FOR_THE_GUEST =
  /\.(md|map|d\.ts|d\.mts|d\.cts|c|cc|cpp|h|hpp|lzz|gz)$|\/(better-sqlite3|epoll|i2c-bus)\/(build|deps|src)(\/|$)/;

type Lock = { readonly packages: Readonly<Record<string, { readonly dev?: boolean; readonly devOptional?: boolean }>> };

function present(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}

/** Folders of the packages that an installation without development packages has. */
async function productionPackages(checkout: string): Promise<readonly string[]> {
  const lock = JSON.parse(await readFile(join(checkout, "package-lock.json"), "utf8")) as Lock;
  const names = Object.entries(lock.packages)
    .filter(([path, entry]) => path.startsWith("node_modules/") && entry.dev !== true && entry.devOptional !== true)
    .map(([path]) => path);
  const installed = await Promise.all(names.map((name) => present(join(checkout, name))));
  return names.filter((_, index) => installed[index]);
}

/** Everything of the checkout that the guest needs to run the daemon. Rejects when the program was not compiled. */
export async function programCargo(checkout: string): Promise<readonly Cargo[]> {
  const compiled = join(checkout, "dist", "daemon", "main.js");
  if (!(await present(compiled)))
    throw new Error(`${compiled}: expected the compiled daemon, got nothing; run tsc -b daemon`);
  const packages = await productionPackages(checkout);
  const parts = ["package.json", "dist/daemon", "dist/hardware", "systemd", ...packages];
  if (await present(join(checkout, "dist", "web"))) parts.push("dist/web");
  return parts.map((part) => ({
    from: join(checkout, part),
    to: join(PROGRAM_FOLDER, part),
    without: NOT_FOR_THE_GUEST,
  }));
}
