// The files that a config names, as an installed daemon finds them: by whole paths, with its own user's rights, in the sandbox of its
// unit. Whoever runs the check as root can read what the daemon cannot. It reads none of them.

import { readFileSync, statSync } from "node:fs";
import { dirname, isAbsolute } from "node:path";
import type { ReadConfig } from "../config/parse.ts";
import type { Config } from "../config/schema/config.ts";
import { type Finding, wellDone } from "./finding.ts";

/** The unit's user, and the folder that its installation made for the config. */
const USER = "emberwire";
const FOLDER = "/etc/emberwire";

/** What systemd/emberwire.service hides from the daemon: ProtectHome, PrivateTmp. */
const HIDDEN: readonly string[] = ["/home", "/root", "/run/user", "/tmp", "/var/tmp"];

type Named = { readonly key: string; readonly file: string };

function filesOf({ transformer, model, listen, mqtt, notices }: Config): readonly Named[] {
  const named: Readonly<Record<string, string | undefined>> = {
    "transformer.mix": transformer.mix.toLowerCase().endsWith(".csv") ? transformer.mix : undefined,
    "model.file": model.file,
    "listen.certificate": listen.certificate,
    "listen.key": listen.key,
    "mqtt.password_file": mqtt?.password_file,
    "mqtt.ca_file": mqtt?.ca_file,
    "notices.email.password_file": notices?.email?.password_file,
    "notices.webhook.secret_file": notices?.webhook?.secret_file,
  };
  return Object.entries(named).flatMap(([key, file]) => (file === undefined ? [] : [{ key, file }]));
}

/** Nothing where no daemon is installed, or for a config that is not its own. `root` stands before every path; empty on a real machine. */
export function checkFiles({ config, placeOf }: ReadConfig, root = ""): readonly Finding[] {
  const user = accountIn(root);
  const own = placeOf([]);
  if (user === null || !own.startsWith(`${FOLDER}/`)) return [];
  const named = [{ key: "config", file: own }, ...filesOf(config)];
  const bad = named.flatMap((one) => trouble(one, user, root) ?? []);
  if (bad.length > 0) return bad;
  return [
    wellDone("files", named.map(({ file }) => file).join(", "), `the user ${USER} can read what the config needs`),
  ];
}

type Account = { readonly uid: number; readonly gid: number };

/** The daemon's user (passwd(5)); null where there is none. */
function accountIn(root: string): Account | null {
  let text = "";
  try {
    text = readFileSync(`${root}/etc/passwd`, "utf8");
  } catch {
    // A machine without accounts has no installed daemon.
  }
  const row = text.split("\n").find((line) => line.startsWith(`${USER}:`));
  const [, , uid = "", gid = ""] = row?.split(":") ?? [];
  return /^\d+$/.test(uid) && /^\d+$/.test(gid) ? { uid: Number(uid), gid: Number(gid) } : null;
}

function trouble({ key, file }: Named, user: Account, root: string): Finding | null {
  const finding = (says: string, remedy: string): Finding => {
    return { what: "files", place: key, verdict: "bad", says: `${file}: ${says}`, remedy };
  };
  if (!isAbsolute(file)) {
    return finding(`the daemon does not run in this folder`, `Put it into ${FOLDER} and write its whole path.`);
  }
  if (HIDDEN.some((folder) => file.startsWith(`${folder}/`))) {
    return finding("its unit hides this place from the daemon", `Put it into ${FOLDER}, where it may read.`);
  }
  if (mayUse(`${root}${file}`, READ, user) && foldersOf(file).every((one) => mayUse(`${root}${one}`, ENTER, user))) {
    return null;
  }
  const remedy = `\`sudo chgrp ${USER} ${file}\` and \`sudo chmod 640 ${file}\`; the folders above it must let ${USER} through.`;
  return finding(`the user ${USER} may not read it`, remedy);
}

const READ = 0o4;
const ENTER = 0o1;

/** True also for what is not there: whoever needs it says so. */
function mayUse(path: string, bit: number, { uid, gid }: Account): boolean {
  const status = statSync(path, { throwIfNoEntry: false });
  if (status === undefined) return true;
  const shift = status.uid === uid ? 6 : status.gid === gid ? 3 : 0;
  return ((status.mode >> shift) & bit) === bit;
}

function foldersOf(file: string): readonly string[] {
  const above = dirname(file);
  return above === "/" ? [] : [above, ...foldersOf(above)];
}
