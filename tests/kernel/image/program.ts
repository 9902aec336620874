// What of the checkout goes into the guest: the compiled program and its production packages. It compiles nothing.

import { join } from "node:path";
import { expectBuilt, isRun, PROGRAM_PARTS, productionPackages } from "../../../systemd/package/production.ts";
import type { Cargo } from "./initramfs.ts";

/** Where the program lives in the guest: where the package puts it. */
export const PROGRAM_FOLDER = "usr/lib/emberwire";

/** Compiled tests that run inside the guest, with what they import. */
const INSIDE = ["dist/tests/contract/board.js", "dist/tests/kernel/inside", "dist/tests/kernel/host/wiring.js"];

/** Everything of the checkout that the guest needs to run the daemon. Rejects when the program was not built. */
export async function programCargo(checkout: string): Promise<readonly Cargo[]> {
  await expectBuilt(checkout);
  const parts = [...PROGRAM_PARTS, ...INSIDE, ...(await productionPackages(checkout))];
  return parts.map((part) => ({ from: join(checkout, part), to: join(PROGRAM_FOLDER, part), with: isRun }));
}
