// `npm run test:faults:season [-- --kills N --cuts N]`: the season log against SIGKILL at random moments, and against a medium that keeps only
// what was forced to it. The second traces a real writer's system calls (strace, installed if missing) and replays them up to a
// random call; of what was not yet forced a random part of the sectors arrives. Exit status 1 when anything told was lost.

import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { parseArgs } from "node:util";
import { type Random, seededRandom } from "../../hardware/simulated/random.ts";
import { killAfter } from "../support/killed-writer.ts";
import { type After, lookAfter } from "../support/season-after.ts";
import { COMMIT_ROWS, type Told, writeOn } from "../support/season-writer.ts";
import { afterCut } from "./season/medium.ts";
import { type Act, readTrace } from "./season/trace.ts";

const { values } = parseArgs({
  options: {
    kills: { type: "string", default: "200" },
    cuts: { type: "string", default: "200" },
    seed: { type: "string", default: "1" },
  },
});
const [kills, cuts, seed] = [Number(values.kills), Number(values.cuts), Number(values.seed)];
const folder = mkdtempSync(join(tmpdir(), "emberwire-faults-"));
const KEY = "traced";
const CALLS = "pwrite64,write,fsync,fdatasync,ftruncate,openat,unlink";
const TRACED_COMMITS = 120;

type Sum = { trials: number; damaged: number; lostTold: number; mostRowsLost: number; holes: number };
const nothing = (): Sum => ({ trials: 0, damaged: 0, lostTold: 0, mostRowsLost: 0, holes: 0 });

/** `wrote` is what the writer had begun to write at most. */
function count(sum: Sum, kept: After, told: Told, what: string): void {
  sum.trials += 1;
  if (kept.faults.length > 0) sum.damaged += 1;
  if (kept.holes > 0) sum.holes += 1;
  if (kept.row < told.row || kept.entry < told.entry) sum.lostTold += 1;
  sum.mostRowsLost = Math.max(sum.mostRowsLost, told.row - kept.row);
  if (kept.faults.length > 0 || kept.holes > 0 || kept.row < told.row || kept.entry < told.entry) {
    process.stdout.write(`  ${what}: told ${JSON.stringify(told)}, kept ${JSON.stringify(kept)}\n`);
  }
}

async function killing(random: Random): Promise<Sum> {
  const sum = nothing();
  for (let kill = 0; kill < kills; kill += 1) {
    // A new file now and then: its making can be cut short, too.
    const file = join(folder, `killed-${Math.floor(kill / 20)}.db`);
    const key = `kill ${kill}`;
    const told = await killAfter(file, key, 1 + random.below(80), () => delay(random.unit() * 12));
    count(sum, lookAfter(file, key), told, `kill ${kill}`);
  }
  return sum;
}

function trace(): {
  readonly acts: readonly Act[];
  readonly file: string;
  readonly before: ReadonlyMap<string, Buffer>;
} {
  try {
    execFileSync("strace", ["-V"], { stdio: "ignore" });
  } catch {
    execFileSync("apt-get", ["install", "-y", "--no-install-recommends", "strace"], { stdio: "ignore" });
  }
  const place = join(folder, "traced");
  mkdirSync(place);
  const file = join(place, "season.db");
  // An older run is in the file already, closed in order: the cut must not touch it either.
  writeOn(file, "older", 30, () => undefined);
  const before = new Map([[file, readFileSync(file)]]);
  const log = join(folder, "trace.txt");
  const script = resolve("dist/tests/support/season-writer.js");
  const options = ["-f", "-y", "-xx", "-s", "1000000", "-e", `trace=${CALLS}`, "-o", log];
  execFileSync("strace", [...options, process.execPath, script, file, KEY, String(TRACED_COMMITS)], {
    stdio: "ignore",
  });
  return { acts: readTrace(readFileSync(log, "latin1")), file, before };
}

function toldBefore(acts: readonly Act[], count: number): Told {
  const last = acts.slice(0, count).findLast((act) => act.kind === "told" && act.text.startsWith("told "));
  const match = last?.kind === "told" ? /^told (\d+) (\d+)/.exec(last.text) : null;
  return match === null ? { row: 0, entry: 0 } : { row: Number(match[1]), entry: Number(match[2]) };
}

function cutting(random: Random): { readonly sum: Sum; readonly calls: number; readonly forced: number } {
  const { acts, file, before } = trace();
  const isOurs = (name: string): boolean => name === file || name === `${file}-wal` || name === `${file}-journal`;
  const ours = acts.filter((act) => act.kind === "told" || act.kind === "force" || isOurs(act.file));
  const sum = nothing();
  for (let cut = 0; cut < cuts; cut += 1) {
    const at = 1 + random.below(ours.length);
    const place = join(folder, `cut-${cut}`);
    mkdirSync(place);
    for (const [name, bytes] of afterCut(before, ours, at, isOurs, random))
      writeFileSync(join(place, basename(name)), bytes);
    const copy = join(place, "season.db");
    const older = existsSync(copy) ? lookAfter(copy, "older") : { faults: ["no file"], row: 0, entry: 0, holes: 0 };
    count(sum, older, { row: 30 * COMMIT_ROWS, entry: 10 }, `cut ${cut}, the older run`);
    count(sum, lookAfter(copy, KEY), toldBefore(ours, at), `cut ${cut} behind call ${at}`);
    rmSync(place, { recursive: true });
  }
  return { sum, calls: ours.length, forced: ours.filter(({ kind }) => kind === "force").length };
}

function print(title: string, { trials, damaged, lostTold, mostRowsLost, holes }: Sum): boolean {
  process.stdout.write(
    `${title}\n  ${trials} looks: ${damaged} files damaged, ${lostTold} that lost what was told to be kept, ` +
      `${holes} with rows missing between, at most ${Math.max(0, mostRowsLost)} told rows lost\n`,
  );
  return trials > 0 && damaged === 0 && lostTold === 0 && holes === 0;
}

try {
  const killed = print(`SIGKILL at ${kills} random moments (seed ${seed})`, await killing(seededRandom(seed)));
  const { sum, calls, forced } = cutting(seededRandom(seed + 1));
  const cut = print(`Power cut at ${cuts} random calls of ${calls}, ${forced} of them forcing (seed ${seed})`, sum);
  process.exitCode = killed && cut ? 0 : 1;
} finally {
  rmSync(folder, { recursive: true, force: true });
}
