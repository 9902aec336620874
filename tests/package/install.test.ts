// The package as an operator meets it, in a clean root: installed with what it depends on, looked at, run, upgraded, removed, purged.
import { createHash } from "node:crypto";
import { appendFile, mkdtemp, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, inject, it, onTestFinished } from "vitest";
import { ARCHITECTURES } from "../../systemd/package/architectures.ts";
import { buildPackage } from "../../systemd/package/build.ts";
import { changedPackage } from "./changed-package.ts";
import { CleanRoot } from "./clean-root.ts";
import { InstalledDaemon } from "./installed-daemon.ts";
import { tracesIn } from "./traces.ts";

const CHECKOUT = fileURLToPath(new URL("../..", import.meta.url));
const CONFIG = "etc/emberwire/emberwire.toml";
const PACKAGE = inject("packageFile");

let root: CleanRoot;
/** All files before anything was installed. */
let before: ReadonlySet<string>;

const inRoot = (path: string): string => join(root.folder, path);
const isThere = (path: string): Promise<boolean> =>
  stat(inRoot(path)).then(
    () => true,
    () => false,
  );

beforeAll(async () => {
  root = await CleanRoot.unpack(inject("cache"), "install");
  // Dependencies stay when the package goes, as they do on a board: they are none of its traces.
  await root.install("nodejs", "systemd", "man-db");
  before = await root.files();
  await root.install(PACKAGE);
});

afterAll(() => root.remove());

describe("the package, once installed", () => {
  it("says that it is there and not running, and what comes next", async () => {
    const status = await root.run("dpkg-query", "-s", "emberwire");
    expect(status).toContain("\nStatus: install ok installed\n");
    // systemctl answers with status 1 for a unit that is not enabled.
    await expect(root.run("systemctl", "is-enabled", "emberwire")).rejects.toThrow("disabled");
  });

  it("has made the user with its groups, and a configuration that others cannot read", async () => {
    expect(await root.run("id", "-nG", "emberwire")).toBe("emberwire i2c gpio\n");
    expect(await root.run("stat", "-c", "%a %U %G", `/${CONFIG}`)).toBe("640 root emberwire\n");
  });

  it("has every file as it was packed", async () => {
    expect(await root.run("dpkg", "--verify", "emberwire")).toBe("");
  });

  it("answers commands, and finds no fault in the example's words", async () => {
    const loss = await root.run(
      "emberwire",
      "loss",
      "--mix",
      "43",
      "--turns",
      "3",
      "--toroid",
      "61x35.55x12.7mm",
      "--frequency",
      "7.1MHz",
      "--drive",
      "100W",
    );
    expect(loss).toMatch(/\d W/);
    const check = await root.run("sh", "-c", `emberwire check --simulated --config /${CONFIG}; echo "status $?"`);
    expect(check).toContain(`config (/${CONFIG}): every key is known and fits`);
    expect(check).toMatch(/status 0\n$/);
  });

  it("loads its native addons", async () => {
    const program = [
      'const path = "/usr/lib/emberwire/node_modules/";',
      'for (const name of ["better-sqlite3", "epoll", "i2c-bus", "koffi"]) require(path + name);',
      'const Database = require(path + "better-sqlite3");',
      'console.log(new Database(":memory:").prepare("SELECT 6 * 7 AS answer").get().answer);',
    ].join(" ");
    expect(await root.run("node", "-e", program)).toBe("42\n");
  });

  it("has a manual page with every command", async () => {
    const page = await root.run("man", "--pager=cat", "emberwire");
    expect(page).toContain("heat-run fit");
    expect(page).toContain("/etc/emberwire/emberwire.toml");
  });

  it("completes commands and flags in bash", async () => {
    const ask = (line: string): Promise<string> =>
      root.run(
        "bash",
        "-c",
        `. /usr/share/bash-completion/completions/emberwire; COMP_WORDS=(${line} ''); COMP_CWORD=$((\${#COMP_WORDS[@]}-1)); _emberwire; echo "\${COMPREPLY[*]}"`,
      );
    expect(await ask("emberwire")).toMatch(/^run .*\bcheck\b.* release$/m);
    expect(await ask("emberwire heat-run")).toMatch(/\bfit\b/);
    expect(await ask("emberwire check")).toContain("--config");
  });

  it("runs: health, page and a cycle's state over HTTP, as its own user", async () => {
    const daemon = await InstalledDaemon.start(root, "--config", `/${CONFIG}`, "--data", "/tmp/simulated");
    onTestFinished(() => daemon.kill());
    const { address } = daemon;
    expect((await fetch(`${address}healthz`)).status).toBe(200);
    const page = await (await fetch(address)).text();
    const script = /src="\/?(assets\/[^"]+\.js)"/.exec(page)?.[1];
    expect((await fetch(`${address}${script}`)).headers.get("content-type")).toContain("javascript");
    expect(await daemon.stop()).toBe(0);
  });
});

describe("the package, when it changes and goes", () => {
  it("keeps an edited configuration and the season through an upgrade", async () => {
    const newer = await changedPackage(PACKAGE, "next", (tree) =>
      appendFile(join(tree, CONFIG), "# the authors' new remark\n"),
    );
    await appendFile(inRoot(CONFIG), "# mine\n");
    await root.run("install", "-d", "-o", "emberwire", "/var/lib/emberwire");
    await writeFile(inRoot("var/lib/emberwire/season.db"), "season");
    await root.install(newer);
    expect(await root.run("dpkg-query", "-s", "emberwire")).toMatch(/^Version: .*~next$/m);
    expect(await readFile(inRoot(CONFIG), "utf8")).toMatch(/# mine\n$/);
    expect(await readFile(inRoot("var/lib/emberwire/season.db"), "utf8")).toBe("season");
  });

  it("goes when it is removed, and leaves configuration and season", async () => {
    await root.run("apt-get", "-qy", "remove", "emberwire");
    expect(await isThere("usr/lib/emberwire")).toBe(false);
    expect(await isThere("usr/bin/emberwire")).toBe(false);
    expect(await readFile(inRoot(CONFIG), "utf8")).toMatch(/# mine\n$/);
    expect(await isThere("var/lib/emberwire/season.db")).toBe(true);
  });

  it("leaves nothing when it is purged", async () => {
    await root.run("apt-get", "-qy", "purge", "emberwire");
    expect(await tracesIn(root, before)).toEqual([]);
  });
});

it("is the same to the byte when it is built again", async () => {
  const folder = await mkdtemp(join(tmpdir(), "emberwire-again-"));
  onTestFinished(() => rm(folder, { recursive: true, force: true }));
  const again = await buildPackage(CHECKOUT, ARCHITECTURES.amd64, folder, () => {});
  const sum = async (file: string): Promise<string> =>
    createHash("sha256")
      .update(await readFile(file))
      .digest("hex");
  expect(await sum(again.file)).toBe(await sum(PACKAGE));
});
