// The host's own Debian packages that a build or a heavy test needs. Missing ones are installed; one that cannot be had ends it.

import { exec } from "./exec.ts";

async function isInstalled(name: string): Promise<boolean> {
  try {
    const status = await exec("dpkg-query", ["-s", name], { deadlineSeconds: 20 });
    return status.includes("\nStatus: install ok installed\n");
  } catch {
    return false;
  }
}

/** Installs what is missing of `names` with apt; `purpose` says for what. Rejects with apt's own words when one cannot be had. */
export async function installHostPackages(
  purpose: string,
  names: readonly string[],
  say: (line: string) => void,
): Promise<void> {
  const known = await Promise.all(names.map(isInstalled));
  const missing = names.filter((_, index) => known[index] === false);
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
    throw new Error(`${purpose} needs the Debian packages ${missing.join(", ")} and cannot have them: ${said}`, {
      cause: error,
    });
  }
}
