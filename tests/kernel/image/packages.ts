// The host's own packages that the kernel test needs. Missing ones are installed; one that cannot be had ends the test.

import { exec } from "./exec.ts";

/** Debian 12 names. The cross compiler brings the armhf C and C++ libraries that the guest runs on. */
const HOST_PACKAGES = ["qemu-system-arm", "cpio", "xz-utils", "device-tree-compiler", "g++-arm-linux-gnueabihf"];

async function isInstalled(name: string): Promise<boolean> {
  try {
    const status = await exec("dpkg-query", ["-s", name], { deadlineSeconds: 20 });
    return status.includes("\nStatus: install ok installed\n");
  } catch {
    return false;
  }
}

/** Installs what is missing with apt. Rejects with apt's own words when a package cannot be had. */
export async function installHostPackages(say: (line: string) => void): Promise<void> {
  const known = await Promise.all(HOST_PACKAGES.map(isInstalled));
  const missing = HOST_PACKAGES.filter((_, index) => known[index] === false);
  if (missing.length === 0) return;
  say(`installing ${missing.join(" ")}`);
  const env = { DEBIAN_FRONTEND: "noninteractive" };
  const lock = ["-o", "DPkg::Lock::Timeout=120"];
  try {
    // A single unreachable source must not stop the others from being used; the install below has the last word.
    await exec("apt-get", ["update", ...lock], { deadlineSeconds: 180, env }).catch((error: Error) =>
      say(error.message),
    );
    await exec("apt-get", ["install", "-y", "--no-install-recommends", ...lock, ...missing], {
      deadlineSeconds: 600,
      env,
    });
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    throw new Error(`the kernel test needs the Debian packages ${missing.join(", ")} and cannot have them: ${said}`, {
      cause: error,
    });
  }
}
