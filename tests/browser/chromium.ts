// A real Chromium for browser tests and screenshots: the one inside a registry package on x64 Linux, the system's elsewhere.
// It says clearly what to install where there is none; it never falls back to anything that is not a browser.

import { existsSync } from "node:fs";
import { mkdtemp, readFile, rename, rm } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import packaged from "@sparticuz/chromium";
import { type Browser, chromium } from "playwright-core";

const SYSTEM_PATHS = [
  "/usr/bin/chromium",
  "/usr/bin/chromium-browser",
  "/usr/bin/google-chrome",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
];

/** No sandbox, because tests often run as root in a container; nothing that calls home. */
const FLAGS = [
  "--no-sandbox",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-default-apps",
  "--disable-sync",
  "--no-first-run",
  "--font-render-hinting=none",
];

/** Runs `task` with TMPDIR set to `folder`; the package unpacks to wherever that points. */
async function unpackingTo<T>(folder: string, task: () => Promise<T>): Promise<T> {
  const { TMPDIR } = process.env;
  Object.assign(process.env, { TMPDIR: folder });
  try {
    return await task();
  } finally {
    if (TMPDIR === undefined) Reflect.deleteProperty(process.env, "TMPDIR");
    else Object.assign(process.env, { TMPDIR });
  }
}

/** Unpacks once per version; half-unpacked folders are never seen under the final name, however many ask at once. */
async function unpacked(): Promise<string> {
  const entry = createRequire(import.meta.url).resolve("@sparticuz/chromium");
  const manifest = join(entry.slice(0, entry.lastIndexOf("@sparticuz/chromium")), "@sparticuz/chromium/package.json");
  const { version } = JSON.parse(await readFile(manifest, "utf8")) as { version: string };
  const folder = join(tmpdir(), `emberwire-tests-chromium-${version}`);
  if (!existsSync(folder)) {
    const making = await mkdtemp(join(tmpdir(), "emberwire-tests-unpacking-"));
    await unpackingTo(making, () => packaged.executablePath());
    await rename(making, folder).catch(() => rm(making, { recursive: true, force: true }));
  }
  return join(folder, "chromium");
}

/**
 * Path of the browser: `CHROMIUM` in the environment, else the packaged one, else the system's.
 * @throws Error that says what to install
 */
async function chromiumPath(): Promise<string> {
  const { CHROMIUM } = process.env;
  if (CHROMIUM !== undefined) {
    if (existsSync(CHROMIUM)) return CHROMIUM;
    throw new Error(`CHROMIUM names ${CHROMIUM}, which does not exist`);
  }
  if (process.platform === "linux" && process.arch === "x64") return unpacked();
  const system = SYSTEM_PATHS.find((path) => existsSync(path));
  if (system !== undefined) return system;
  throw new Error(
    `no Chromium for ${process.platform} ${process.arch}: install one (Debian: apt install chromium) or set CHROMIUM to its path`,
  );
}

/** Starts the browser, with `more` of its own flags; the caller closes it. */
export async function launchChromium(more: readonly string[] = []): Promise<Browser> {
  return chromium.launch({ executablePath: await chromiumPath(), headless: true, args: [...FLAGS, ...more] });
}
