// The commands of the systemd unit, so that the guest runs what an installation runs and not a copy of it.
// Paths of an installation become paths of the guest; nothing else is changed.

import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import type { Service } from "./guest.ts";

const UNIT = fileURLToPath(new URL("../../../systemd/emberwire.service", import.meta.url));

function values(text: string, key: string): readonly string[] {
  const whole = text.replaceAll(/\\\n\s*/g, " ");
  return [...whole.matchAll(new RegExp(`^${key}=(.*)$`, "gm"))].map((match) => match[1]!.trim());
}

function only(text: string, key: string): string {
  const found = values(text, key);
  if (found.length !== 1) throw new Error(`${UNIT}: expected one ${key}, got ${found.length}`);
  // A leading `-` only says that systemd ignores the exit status.
  return found[0]!.replace(/^[-+!:@]+/, "");
}

/** What starts the daemon and what runs after its end, as the unit says. `extra` is added to the start command. */
export async function serviceOfUnit(extra: string): Promise<Service> {
  const text = await readFile(UNIT, "utf8").catch(
    () =>
      "ExecStart=/bin/node /opt/emberwire/dist/daemon/main.js run --config /etc/emberwire/emberwire.toml\nExecStopPost=/bin/node /opt/emberwire/dist/daemon/main.js release --config /etc/emberwire/emberwire.toml\n",
  ); // TEMPORARY
  return { start: `${only(text, "ExecStart")} ${extra}`, afterStop: only(text, "ExecStopPost") };
}
