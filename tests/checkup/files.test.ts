// Files of a config through the eyes of the daemon's user: on trees of files with accounts of their own.

import { chmodSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { checkFiles } from "../../daemon/checkup/files.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { kernelTree } from "../support/kernel-tree.ts";

const GID = process.getgid?.() ?? 0;
const CONFIG = "/etc/emberwire/emberwire.toml";
const SECRET = "/etc/emberwire/mqtt-password";

type Scene = {
  readonly passwordFile?: string;
  readonly passwd?: string;
  readonly mode?: number;
  readonly folderMode?: number;
  readonly config?: string;
};

async function checked({ passwordFile = SECRET, mode = 0o640, folderMode = 0o750, ...scene }: Scene = {}) {
  const passwd =
    scene.passwd ?? `root:x:0:0::/root:/bin/sh\nemberwire:x:4242:${GID}::/var/lib/emberwire:/usr/sbin/nologin\n`;
  const root = await kernelTree({ "/etc/passwd": passwd, [CONFIG]: "", [SECRET]: "x\n", "/srv/secret": "x\n" });
  chmodSync(join(root, CONFIG), 0o640);
  chmodSync(join(root, SECRET), mode);
  chmodSync(join(root, "/etc/emberwire"), folderMode);
  const text = `[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n[mqtt]\nbroker = "mqtts://broker.example.org"\nuser = "orchard"\npassword_file = "${passwordFile}"\n`;
  return checkFiles(parseConfig(text, scene.config ?? CONFIG), root);
}

describe("files that the config names", () => {
  it("are well where the daemon's group may read them", async () => {
    expect(await checked()).toEqual([
      expect.objectContaining({
        verdict: "good",
        place: `${CONFIG}, ${SECRET}`,
        says: expect.stringContaining("can read"),
      }),
    ]);
  });

  it.each<[string, Scene, RegExp, RegExp]>([
    [
      "only for root",
      { mode: 0o600 },
      /mqtt-password: the user emberwire may not read it/,
      /chgrp emberwire.*chmod 640/,
    ],
    ["in a home", { passwordFile: "/home/pat/secret" }, /hides this place/, /Put it into \/etc\/emberwire/],
    ["in /tmp", { passwordFile: "/tmp/secret" }, /hides this place/, /Put it into \/etc\/emberwire/],
    ["without their folder", { passwordFile: "mqtt-password" }, /does not run in this folder/, /whole path/],
  ])("%s are told with what to do", async (_name, scene, says, remedy) => {
    const [finding, ...others] = await checked(scene);
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ what: "files", place: "mqtt.password_file", verdict: "bad" });
    expect(finding?.says).toMatch(says);
    expect(finding?.remedy).toMatch(remedy);
  });

  it("behind a folder that is closed are all told of", async () => {
    const findings = await checked({ folderMode: 0o700 });
    expect(findings.map(({ place }) => place)).toEqual(["config", "mqtt.password_file"]);
  });

  it("are nobody's business where no daemon is installed, or for another config", async () => {
    expect(await checked({ passwd: "root:x:0:0::/root:/bin/sh\n", mode: 0o600 })).toEqual([]);
    expect(await checked({ config: "/srv/try.toml", mode: 0o600 })).toEqual([]);
  });
});
