// Forward and back through packages: what an earlier program left is brought forward with a copy kept, what a later one wrote is
// refused in words until the copies are put back. The later program is this one with a next form of config and log.

import { copyFile, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import Database from "better-sqlite3";
import { afterAll, beforeAll, expect, inject, it, onTestFinished } from "vitest";
import { CONFIG_VERSION, NEWER } from "../../daemon/config/version.ts";
import { SCHEMA_VERSION } from "../../daemon/season/schema.ts";
import { changedPackage } from "./changed-package.ts";
import { CleanRoot } from "./clean-root.ts";
import { InstalledDaemon } from "./installed-daemon.ts";

const PACKAGE = inject("packageFile");
const CONFIG = "/etc/emberwire/emberwire.toml";
const DATA = "/var/lib/emberwire";
const LOG = `${DATA}/simulated.db`;
/** A log as an earlier program wrote it: 300 seconds. */
const OLD_LOG = fileURLToPath(new URL("../season/fixtures/schema-1.db", import.meta.url));

let root: CleanRoot;

beforeAll(async () => {
  root = await CleanRoot.unpack(inject("cache"), "upgrade");
  await root.install("nodejs", "systemd", PACKAGE);
  // The operator's own, so that dpkg leaves it alone; it keeps seconds as old as the stored log's. The folder as the unit makes it.
  const changes = ['s/^name = "Orchard gate"/name = "Hill"/', 's/^folder = .*/&\\nkeep = "3650d"/'];
  for (const expression of changes) await root.run("sed", "-i", expression, CONFIG);
  await root.run("install", "-d", "-o", "emberwire", "-g", "emberwire", "-m", "750", DATA);
});

afterAll(() => root.remove());

/** The daemon's start, some seconds and end; what it said. */
async function lived(): Promise<string> {
  const daemon = await InstalledDaemon.start(root, "--config", CONFIG);
  onTestFinished(() => daemon.kill());
  await daemon.live(2);
  expect(await daemon.stop()).toBe(0);
  return daemon.said.join("\n");
}

/** What a command says on both streams, and its status. */
function told(command: string): Promise<string> {
  return root.run("sh", "-c", `runuser -u emberwire -- emberwire ${command} 2>&1; echo "status $?"`);
}

async function verified(file: string): Promise<number> {
  const said = await root.run("emberwire", "season", "verify", "--file", file, "--json");
  const { faults, rows } = JSON.parse(said) as { readonly faults: readonly string[]; readonly rows: number };
  expect(faults).toEqual([]);
  return rows;
}

const schemaOf = async (file: string): Promise<number> => {
  // SQLite's file format, "user version": a big-endian number at offset 60 of the header.
  return (await readFile(join(root.folder, file))).readInt32BE(60);
};

/** Changes a compiled file of the package. @throws when there is not what is to be changed */
async function change(file: string, steps: Readonly<Record<string, string>>): Promise<void> {
  let text = await readFile(file, "utf8");
  for (const [was, is] of Object.entries(steps)) {
    if (text.split(was).length !== 2) throw new Error(`${file}: expected "${was}" once`);
    text = text.replace(was, () => is);
  }
  await writeFile(file, text);
}

const laterPackage = (): Promise<string> =>
  changedPackage(PACKAGE, "later", async (tree) => {
    const daemon = join(tree, "usr/lib/emberwire/dist/daemon");
    const step = '{ from: 1, says: "Hill is Summit", rewrite: (text) => text.replace(\'"Hill"\', \'"Summit"\') }';
    await change(join(daemon, "config/version.js"), {
      [`CONFIG_VERSION = ${CONFIG_VERSION};`]: `CONFIG_VERSION = ${CONFIG_VERSION + 1};`,
      "FORM_STEPS = [];": `FORM_STEPS = [${step}];`,
    });
    await change(join(daemon, "season/schema.js"), {
      [`SCHEMA_VERSION = ${SCHEMA_VERSION};`]: `SCHEMA_VERSION = ${SCHEMA_VERSION + 1};`,
      "if (version === 1)": `if (version === ${SCHEMA_VERSION})\n            database.exec("CREATE TABLE added (id INTEGER) STRICT");\n        else if (version === 1)`,
    });
  });

it("a log of an earlier program comes forward at the first start, and stays beside as it was", async () => {
  await copyFile(OLD_LOG, join(root.folder, LOG));
  await root.run("chown", "emberwire:", LOG);
  await lived();
  expect(await schemaOf(LOG)).toBe(SCHEMA_VERSION);
  expect(await verified(LOG)).toBeGreaterThanOrEqual(302);
  const kept = new Database(join(root.folder, `${LOG}.schema-1`), { readonly: true });
  onTestFinished(() => {
    kept.close();
  });
  expect(kept.pragma("user_version", { simple: true })).toBe(1);
  expect(kept.prepare("SELECT count(*) FROM instant").pluck().get()).toBe(300);
});

it("a later package reads the config as its own, brings the log forward, and keeps both as they were", async () => {
  const before = await verified(LOG);
  await root.install(await laterPackage());
  expect(await told(`check --simulated --config ${CONFIG}`)).toContain(
    "of an older version, read as if Hill is Summit",
  );
  expect(await lived()).toMatch(
    /config: read as if Hill is Summit; `emberwire config upgrade` writes it so\nSummit \(simulated\): /,
  );
  expect(await schemaOf(LOG)).toBe(SCHEMA_VERSION + 1);
  expect(await schemaOf(`${LOG}.schema-${SCHEMA_VERSION}`)).toBe(SCHEMA_VERSION);
  expect(await verified(LOG)).toBeGreaterThanOrEqual(before + 2);

  const kept = await readFile(join(root.folder, CONFIG), "utf8");
  expect(kept).toContain('name = "Hill"');
  await root.run("emberwire", "config", "upgrade", "--config", CONFIG);
  expect(await readFile(join(root.folder, CONFIG), "utf8")).toMatch(/^version = 2 .*name = "Summit"/ms);
  expect(await readFile(join(root.folder, `${CONFIG}.version-1`), "utf8")).toBe(kept);
  expect(await root.run("stat", "-c", "%a %U %G", CONFIG)).toBe("640 root emberwire\n");
});

it("the package from before refuses the later config and log, changes neither, and runs with the copies put back", async () => {
  await root.install("--allow-downgrades", PACKAGE);
  const run = `run --simulated --listen 127.0.0.1:0 --config ${CONFIG}`;
  const log = await readFile(join(root.folder, LOG));
  for (const command of [run, `check --simulated --config ${CONFIG}`]) {
    const said = await told(command);
    expect(said).toContain(
      `${CONFIG}:5: version: expected ${CONFIG_VERSION} or older; ${NEWER}, got ${CONFIG_VERSION + 1}`,
    );
    expect(said).toMatch(/status 2\n$/);
  }
  await root.run("mv", `${CONFIG}.version-1`, CONFIG);
  const said = await told(run);
  expect(said).toContain(
    `log.folder: expected a log of schema ${SCHEMA_VERSION} or older; ${NEWER}, got schema ${SCHEMA_VERSION + 1}`,
  );
  expect(said).toMatch(/status 2\n$/);
  expect((await readFile(join(root.folder, LOG))).equals(log)).toBe(true);

  await root.run("emberwire", "restore", `${LOG}.schema-${SCHEMA_VERSION}`, "--simulated", "--config", CONFIG);
  expect(await root.run("stat", "-c", "%U %G", LOG)).toBe("emberwire emberwire\n");
  await lived();
  expect(await verified(LOG)).toBeGreaterThanOrEqual(304);
});
