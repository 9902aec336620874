// The package of an architecture as an operator meets it on a board, on an emulated processor in a clean Debian root: installed,
// asked, run on simulated hardware until its season is on the disk, stopped, removed, purged.

import { copyFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { afterAll, beforeAll, expect, inject, it, onTestFinished } from "vitest";
import type { Architecture } from "../../systemd/package/architectures.ts";
import { CleanRoot } from "../package/clean-root.ts";
import { Emulation } from "../package/emulation.ts";
import { InstalledDaemon } from "../package/installed-daemon.ts";
import { tracesIn } from "../package/traces.ts";

const CONFIG = "/etc/emberwire/emberwire.toml";
const DATA = "/var/lib/emberwire";

/**
 * Loads every addon and has each do its work once. No bus is there, so I2C's ioctl is refused, by QEMU (ENOSYS) or the kernel
 * (ENOTTY); koffi calls the C library through code of the processor's own kind.
 */
const ADDONS = `
  const path = "/usr/lib/emberwire/node_modules/";
  const load = (name) => require(path + name);
  const { Epoll } = load("epoll");
  new Epoll(() => {}).close();
  const koffi = load("koffi");
  const snprintf = koffi.load("libc.so.6").func("int snprintf(char *text, size_t size, const char *form, ...)");
  const text = Buffer.alloc(32);
  snprintf(text, 32, "%d %.2f", "int", 42, "double", 0.25);
  const i2c = load("bindings")({ bindings: "i2c.node", module_root: path + "i2c-bus" });
  let bus = "";
  try { i2c.setAddrSync(require("fs").openSync("/dev/null"), 0x48, false) } catch (error) { bus = error.code }
  const Database = load("better-sqlite3");
  const answer = new Database(":memory:").prepare("SELECT 6 * 7 AS answer").get().answer;
  const { arch, versions } = process;
  console.log(JSON.stringify({ arch, node: Number.parseInt(versions.node), answer, bus, text: text.toString("latin1", 0, 7) }));
`;

/** Declares the tests of one architecture. */
export function operate(architecture: Architecture): void {
  const packageFile = inject("packages")[architecture.debian];
  let emulation: Emulation;
  let root: CleanRoot;
  let before: ReadonlySet<string>;

  beforeAll(async () => {
    emulation = await Emulation.begin(architecture);
    root = await CleanRoot.unpack(inject("rootsCache"), architecture.debian, emulation);
    before = await root.files();
  });

  afterAll(async () => {
    emulation.end();
    await root.remove();
  });

  it("is installed with its user and groups, whole, and not enabled", async () => {
    await copyFile(packageFile, join(root.folder, "root", basename(packageFile)));
    // Its dependencies are there, or dpkg refuses.
    await root.run("dpkg", "--install", `/root/${basename(packageFile)}`);
    const said = await root.run("dpkg-query", "--status", "emberwire");
    expect(said).toMatch(/^Status: install ok installed$/m);
    expect(said.split("\n")).toContain(`Architecture: ${architecture.debian}`);
    expect(await root.run("id", "-nG", "emberwire")).toBe("emberwire i2c gpio\n");
    expect(await root.run("stat", "-c", "%a %U %G", CONFIG)).toBe("640 root emberwire\n");
    expect(await root.run("dpkg", "--verify", "emberwire")).toBe("");
    await expect(root.run("systemctl", "is-enabled", "emberwire")).rejects.toThrow("disabled");
  });

  it("has native addons that work with Debian's Node", async () => {
    expect(JSON.parse(await root.run("node", "-e", ADDONS))).toEqual({
      arch: architecture.node,
      node: 20,
      answer: 42,
      bus: expect.stringMatching(/^ENO(SYS|TTY)$/),
      text: "42 0.25",
    });
  });

  it("says its version, and finds every part of the simulated feedpoint", async () => {
    expect(await root.run("emberwire", "--version")).toMatch(/^\d+\.\d+\.\d+\n$/);
    const check = await root.run("sh", "-c", `emberwire check --simulated --config ${CONFIG}; echo "status $?"`);
    expect(check).toMatch(/database \(better-sqlite3\): the binding works/);
    expect(check).toMatch(/status 0\n$/);
  });

  it("runs as its own user, shows frames and the page, ends on SIGTERM, and its season holds", async () => {
    // The unit makes this folder.
    await root.run("install", "-d", "-o", "emberwire", "-g", "emberwire", "-m", "750", DATA);
    const daemon = await InstalledDaemon.start(root, "--config", CONFIG);
    onTestFinished(() => daemon.kill());
    expect(await (await fetch(daemon.address)).text()).toContain("<html");
    await daemon.live(3);
    expect(await daemon.stop()).toBe(0);
    const { faults, rows } = JSON.parse(
      await root.run("emberwire", "season", "verify", "--file", `${DATA}/simulated.db`, "--json"),
    ) as { readonly faults: readonly string[]; readonly rows: number };
    expect(faults).toEqual([]);
    expect(rows).toBeGreaterThanOrEqual(3);
  });

  it("leaves configuration and season when it is removed, and nothing when it is purged", async () => {
    await root.run("dpkg", "--remove", "emberwire");
    const kept = await root.files();
    expect(kept).toContain(CONFIG.slice(1));
    expect(kept).toContain(`${DATA.slice(1)}/simulated.db`);
    expect([...kept].filter((path) => path.startsWith("usr/lib/emberwire"))).toEqual([]);
    await root.run("dpkg", "--purge", "emberwire");
    expect(await tracesIn(root, before)).toEqual([]);
  });
}
