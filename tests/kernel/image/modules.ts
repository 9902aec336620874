// Kernel modules of the guest with all they depend on, in the order in which they must be loaded.

import { readdir, readFile } from "node:fs/promises";
import { basename, join } from "node:path";

/** GPIO and I2C controllers of the board, the user-space I2C device, the thermometer driver of hwmon, and Ethernet. */
const WANTED = ["gpio-mxc", "i2c-imx", "i2c-dev", "lm75", "smsc", "fec"];

function canonical(name: string): string {
  return name.replaceAll("-", "_");
}

/** A module names what it needs in its own `.modinfo` section, as text that ends with a zero byte. */
function dependencies(image: Buffer): readonly string[] {
  const at = image.indexOf("\0depends=");
  if (at < 0) return [];
  const start = at + "\0depends=".length;
  const list = image.subarray(start, image.indexOf(0, start)).toString("latin1");
  return list === "" ? [] : list.split(",");
}

/** Files of all modules needed, each after those it depends on. What is not there as a file is built into the kernel. */
export async function modulesInOrder(folder: string): Promise<readonly string[]> {
  const files = new Map<string, string>();
  for (const entry of await readdir(folder, { recursive: true })) {
    if (entry.endsWith(".ko")) files.set(canonical(basename(entry, ".ko")), join(folder, entry));
  }
  const order: string[] = [];
  async function add(name: string): Promise<void> {
    const file = files.get(canonical(name));
    if (file === undefined || order.includes(file)) return;
    for (const needed of dependencies(await readFile(file))) await add(needed);
    order.push(file);
  }
  for (const name of WANTED) {
    if (!files.has(canonical(name))) throw new Error(`${folder}: expected a module ${name}, got none`);
    await add(name);
  }
  return order;
}
