// The board's device tree from the kernel package, changed only where the emulator lacks a part: the fuses with the MAC address.

import { copyFile } from "node:fs/promises";
import { exec } from "./exec.ts";

const ETHERNET = "/soc/bus@2100000/ethernet@2188000";
/** Locally administered. */
const MAC = ["52", "54", "00", "12", "34", "56"];

/** Writes the changed tree to `target`. */
export async function writeDeviceTree(source: string, target: string): Promise<void> {
  await copyFile(source, target);
  const properties = (await exec("fdtget", ["-p", target, ETHERNET], { deadlineSeconds: 20 })).split("\n");
  for (const name of ["nvmem-cells", "nvmem-cell-names"]) {
    if (properties.includes(name)) await exec("fdtput", ["-d", target, ETHERNET, name], { deadlineSeconds: 20 });
  }
  await exec("fdtput", ["-t", "bx", target, ETHERNET, "local-mac-address", ...MAC], { deadlineSeconds: 20 });
}
