// The board's device tree from the kernel package, changed only where the emulator differs from the board: it has no fuses
// with a MAC address, and its private timers run at a frequency of their own.

import { copyFile } from "node:fs/promises";
import { exec } from "../../../systemd/package/exec.ts";

const ETHERNET = "/soc/bus@2100000/ethernet@2188000";
/** Locally administered. */
const MAC = ["52", "54", "00", "12", "34", "56"];

const PRIVATE_TIMER = "/soc/timer@a00600";
const TIMER_CLOCK = "/private-timer-clock";
/** Counts of QEMU's `arm_mptimer` last 10 ns. The board's would last 2.5 ns, by which every timer of an idle guest would be late fourfold. */
const TIMER_HERTZ = "100000000";
/** Free in the board's tree, whose handles are numbered from 1. */
const TIMER_CLOCK_HANDLE = "0x7001";

async function put(
  target: string,
  type: "u" | "x" | "bx" | "s",
  node: string,
  name: string,
  ...values: string[]
): Promise<void> {
  await exec("fdtput", ["-t", type, target, node, name, ...values], { deadlineSeconds: 20 });
}

/** Writes the changed tree to `target`. */
export async function writeDeviceTree(source: string, target: string): Promise<void> {
  await copyFile(source, target);
  const properties = (await exec("fdtget", ["-p", target, ETHERNET], { deadlineSeconds: 20 })).split("\n");
  for (const name of ["nvmem-cells", "nvmem-cell-names"]) {
    if (properties.includes(name)) await exec("fdtput", ["-d", target, ETHERNET, name], { deadlineSeconds: 20 });
  }
  await put(target, "bx", ETHERNET, "local-mac-address", ...MAC);
  await exec("fdtput", ["-c", target, TIMER_CLOCK], { deadlineSeconds: 20 });
  await put(target, "s", TIMER_CLOCK, "compatible", "fixed-clock");
  await put(target, "u", TIMER_CLOCK, "#clock-cells", "0");
  await put(target, "u", TIMER_CLOCK, "clock-frequency", TIMER_HERTZ);
  await put(target, "x", TIMER_CLOCK, "phandle", TIMER_CLOCK_HANDLE);
  await put(target, "x", PRIVATE_TIMER, "clocks", TIMER_CLOCK_HANDLE);
}
