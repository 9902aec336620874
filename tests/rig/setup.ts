// Runs once before the rig's tests: Debian's rigctld is installed where it is missing and this user may install, else it is asked for.

import { execFileSync } from "node:child_process";

const PACKAGE = "libhamlib-utils";

function isThere(): boolean {
  try {
    execFileSync("rigctld", ["--version"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
}

export default function setup(): void {
  if (isThere()) return;
  if (process.getuid?.() !== 0) throw new Error(`rigctld is missing: apt-get install ${PACKAGE}`);
  const environment = { ...process.env, DEBIAN_FRONTEND: "noninteractive" };
  const apt = (...words: string[]): void => {
    execFileSync("apt-get", ["-o", "DPkg::Lock::Timeout=120", ...words], { stdio: "ignore", env: environment });
  };
  apt("update");
  apt("install", "-y", "--no-install-recommends", PACKAGE);
  if (!isThere()) throw new Error(`rigctld is missing although ${PACKAGE} is installed`);
}
