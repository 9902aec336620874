// The package's description of itself: control, changelog, copyright, checksums. Pure, but for reading licences.

import { createHash } from "node:crypto";
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import type { Architecture } from "./architectures.ts";
import type { NodeLine } from "./node-lines.ts";

const MAINTAINER = "The Emberwire authors <emberwire@emberwire.invalid>";

/** What the fields of the control file are made of. */
export type Identity = {
  readonly version: string;
  readonly architecture: Architecture;
  readonly description: string;
  readonly installedKibibytes: number;
  /** What the addons need: the C library's version and the compiler's. */
  readonly libc: string;
  readonly compiler: string;
  /** The release lines of Node that have addons in the package, oldest first. */
  readonly nodeLines: readonly NodeLine[];
};

/** Lines of the field Description have 80 characters at most. */
function wrapped(text: string): string {
  return text.replaceAll(/(.{1,78})(?: |$)/g, "$1\n ").trimEnd();
}

/** Every clause must hold: from the oldest line to the newest, and in none of the lines between that have no addons. */
function nodeClauses(lines: readonly NodeLine[]): readonly string[] {
  return [undefined, ...lines].map((line, index) => {
    const next = lines[index];
    const upTo = line === undefined ? [] : [`nodejs (<< ${line.major + 1}~)`];
    return [...upTo, ...(next === undefined ? [] : [`nodejs (>= ${next.oldest})`])].join(" | ");
  });
}

/** The control file. */
export function controlFile(identity: Identity): string {
  const depends = [
    ...nodeClauses(identity.nodeLines),
    "systemd",
    `libc6 (>= ${identity.libc})`,
    "libgcc-s1",
    `libstdc++6 (>= ${identity.compiler})`,
  ];
  return `Package: emberwire
Version: ${identity.version}
Architecture: ${identity.architecture.debian}
Maintainer: ${MAINTAINER}
Installed-Size: ${identity.installedKibibytes}
Depends: ${depends.join(", ")}
Recommends: kmod, udev
Suggests: i2c-tools
Section: hamradio
Priority: optional
Description: protection for the transformer of an end-fed wire
 ${wrapped(identity.description)}
 .
 A daemon for a Raspberry Pi at the feedpoint: it reads thermometers, the fan
 and the drive, estimates the ferrite core with an upper bound, shows a live
 page, keeps the season, and lowers or takes the transmitter's power by two
 fail-safe permit lines.
 .
 It is an aid, not a safety device: mount a thermal cutout that needs no
 computer, and follow local codes and licensed practice.
`;
}

/** One entry; `when` is the build's date. */
export function changelog(version: string, when: Date): string {
  return `emberwire (${version}) unstable; urgency=medium

  * Release ${version.replace(/-[^-]*$/, "")}.

 -- ${MAINTAINER}  ${when.toUTCString().replace("GMT", "+0000")}
`;
}

/** Sums of all files below `root`, in the order of their names. */
export async function md5sums(root: string): Promise<string> {
  const files = (await readdir(root, { recursive: true, withFileTypes: true }))
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((path) => !path.startsWith(join(root, "DEBIAN")) && !path.startsWith(join(root, "etc")))
    .sort();
  const lines = await Promise.all(
    files.map(async (path) => {
      const sum = createHash("md5")
        .update(await readFile(path))
        .digest("hex");
      return `${sum}  ${path.slice(root.length + 1)}\n`;
    }),
  );
  return lines.join("");
}
