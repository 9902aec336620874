// What the systemd unit says, so that the guest runs what an installation runs and not a copy of it.
// The guest has no systemd: user, sandbox and watchdog of the unit are not tried here.

import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";

const UNIT = fileURLToPath(new URL("../../../systemd/emberwire.service", import.meta.url));

/** Commands and surroundings of the service. */
export type Unit = {
  readonly start: string;
  /** Run in this order after every end of the daemon. */
  readonly stopPost: readonly string[];
  readonly environment: readonly string[];
  readonly runtimeFolder: string;
  readonly stateFolder: string;
};

function values(text: string, key: string): readonly string[] {
  const whole = text.replaceAll(/\\\n\s*/g, " ");
  return [...whole.matchAll(new RegExp(`^${key}=(.+)$`, "gm"))].map((match) => match[1]!.trim());
}

function only(text: string, key: string): string {
  const found = values(text, key);
  if (found.length !== 1) throw new Error(`${UNIT}: expected one ${key}, got ${found.length}`);
  return found[0]!;
}

/** Prefixes only say how systemd judges the exit status, or with what rights it starts the command. */
function command(value: string): string {
  return value.replace(/^[-+!:@]+/, "");
}

/** The unit of this checkout. Rejects when it has no step after a stop: nothing would release the relay of a dead daemon. */
export async function readUnit(): Promise<Unit> {
  const text = await readFile(UNIT, "utf8");
  const stopPost = values(text, "ExecStopPost").map(command);
  if (stopPost.length === 0) throw new Error(`${UNIT}: expected an ExecStopPost, got none`);
  return {
    start: command(only(text, "ExecStart")),
    stopPost,
    environment: values(text, "Environment"),
    runtimeFolder: `/run/${only(text, "RuntimeDirectory")}`,
    stateFolder: `/var/lib/${only(text, "StateDirectory")}`,
  };
}
