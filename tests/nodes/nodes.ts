// `npm run test:nodes`: the built daemon, and the tests of its parts, on the oldest and the newest Node of each release line that
// package.json allows. `-- --ends` takes the oldest and the newest of all. Ends with status 1 when one of them fails.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { mkdir } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { pause, systemClock } from "../../hardware/clock.ts";
import { compileAddons } from "../../systemd/package/addons.ts";
import { exec } from "../../systemd/package/exec.ts";
import { nodeLines } from "../../systemd/package/node-lines.ts";
import { SoakedDaemon } from "../soak/soaked-daemon.ts";
import { type NodeVersion, nodeVersion } from "./node-version.ts";
import { layOut } from "./scratch.ts";

/** Tests of the parts, addons included; those that start daemons, browsers or systems have one Node. */
const ROOMS = ["access", "config", "core", "crossing", "hardware", "heat-run", "outputs", "recording", "season"]
  .concat(["station", "wire"])
  .map((room) => `tests/${room}/`);
const TRIPLETS: Readonly<Record<string, string>> = { x64: "x86_64-linux-gnu", arm64: "aarch64-linux-gnu" };
const TESTS_SECONDS = 240;
const FRAMES_SECONDS = 30;

const checkout = resolve(".");
const clock = await systemClock();
const began = clock.monotonicSeconds();
const say = (line: string): void => {
  process.stdout.write(`${(clock.monotonicSeconds() - began).toFixed(1).padStart(6)} s  ${line}\n`);
};

/** The oldest and the newest of every line that `engines` allows; or of all. */
function wantedVersions(): readonly string[] {
  const { engines } = JSON.parse(readFileSync("package.json", "utf8")) as { engines: { node: string } };
  const { values } = parseArgs({ options: { ends: { type: "boolean", default: false } } });
  const all = nodeLines(engines.node).flatMap(({ oldest, newest }) => [oldest, newest]);
  return values.ends ? [all[0]!, all.at(-1)!] : all;
}

/** Starts it, asks it what a page asks, sees it beat, ends it, and lets it check its own log. */
async function tryDaemon({ binary, version }: NodeVersion, program: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), "emberwire-node-"));
  const daemon = await SoakedDaemon.start({ name: `node ${version}`, clock, folder, node: binary, program });
  try {
    const page = await daemon.ask("");
    if (!page.includes("<html")) throw new Error(`expected the page, got ${page.slice(0, 80)}`);
    const { node } = JSON.parse(await daemon.ask("api/v1/check")) as { node: string };
    if (node !== version) throw new Error(`expected the daemon on node ${version}, got ${node}`);
    await daemon.visit(1);
    const until = clock.monotonicSeconds() + FRAMES_SECONDS;
    while (!(daemon.livedSeconds >= 3)) {
      if (clock.monotonicSeconds() > until) throw new Error(`no three seconds of frames within ${FRAMES_SECONDS} s`);
      await pause(clock, 0.1);
    }
    const status = await daemon.stop();
    if (status !== 0) throw new Error(`expected status 0 at its end, got ${status}`);
    if (daemon.complaints.length > 0) throw new Error(`it said: ${daemon.complaints.join("\n")}`);
    await exec(binary, [program, "season", "verify", "--data", folder], { deadlineSeconds: 60 });
  } finally {
    await daemon.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** In the copy, whose addons are this Node's. */
async function tryTests({ binary, version }: NodeVersion, root: string): Promise<void> {
  const runner = join(root, "node_modules", "vitest", "vitest.mjs");
  const words = ["run", "--config", "tests/vitest.config.ts", "--reporter=dot", ...ROOMS];
  const child = spawn(binary, [runner, ...words], {
    cwd: root,
    env: { ...process.env, NO_COLOR: "1" },
    stdio: ["ignore", "pipe", "inherit"],
  });
  let said = "";
  child.stdout.setEncoding("utf8").on("data", (text: string) => {
    said = (said + text).slice(-20_000);
  });
  const cancel = clock.after(TESTS_SECONDS, () => child.kill("SIGKILL"));
  const [status] = await once(child, "close");
  cancel();
  if (status !== 0) throw new Error(`its tests ended with status ${status}:\n${said}`);
  say(`node ${version}: ${/Tests .*?(\d+) passed/.exec(said)?.[1] ?? "?"} tests passed`);
}

const cache = join(checkout, "tests", "nodes", ".cache");
await mkdir(cache, { recursive: true });
const versions: NodeVersion[] = [];
for (const version of wantedVersions()) versions.push(await nodeVersion(cache, version, say));
// Versions of one binary interface share their addons.
const byAbi = [...new Map(versions.map((version) => [version.abi, version])).values()];
const triplet = TRIPLETS[process.arch];
if (triplet === undefined)
  throw new Error(`test:nodes: expected a machine of ${Object.keys(TRIPLETS)}, got ${process.arch}`);
const sets = await compileAddons(
  cache,
  join(checkout, "node_modules"),
  byAbi.map((node) => ({ triplet, node, optimise: "-O1" })),
  say,
);
const root = mkdtempSync(join(tmpdir(), "emberwire-nodes-"));
const program = await layOut(
  checkout,
  root,
  byAbi.map(({ abi }, index) => ({ abi, addons: sets[index]! })),
);
for (const version of versions) {
  try {
    await tryDaemon(version, program);
    say(`node ${version.version}: the daemon ran, served and ended as it should`);
    await tryTests(version, root);
  } catch (error) {
    say(`node ${version.version}: FAILED: ${error instanceof Error ? error.message : String(error)}`);
    process.exitCode = 1;
  }
}
rmSync(root, { recursive: true, force: true });
