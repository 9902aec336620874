// A disk that keeps only what was forced to it: replays a trace up to a cut, and makes of the rest any part, sector by sector, as a
// medium that loses power may. Seeded: the same cut is the same files.

import { dirname } from "node:path";
import type { Random } from "../../../hardware/simulated/random.ts";
import type { Act } from "./trace.ts";

const SECTOR = 512;

type Loose = Extract<Act, { kind: "write" | "truncate" }>;
/** `forced` is what is surely there; `loose` what the process has written since. */
type Held = { forced: Buffer; loose: Loose[]; named: boolean };

/** Files after a cut behind the first `count` acts, which began from `before`. Only names for which `of` is true are followed. */
export function afterCut(
  before: ReadonlyMap<string, Buffer>,
  acts: readonly Act[],
  count: number,
  of: (file: string) => boolean,
  random: Random,
): Map<string, Buffer> {
  const files = new Map<string, Held>();
  for (const [file, bytes] of before) files.set(file, { forced: Buffer.from(bytes), loose: [], named: true });
  const held = (file: string): Held => {
    const found = files.get(file) ?? { forced: Buffer.alloc(0), loose: [], named: false };
    files.set(file, found);
    return found;
  };
  for (const act of acts.slice(0, count)) {
    if (act.kind === "told") continue;
    if (act.kind === "force") {
      force(files, act.file);
      continue;
    }
    if (!of(act.file)) continue;
    if (act.kind === "create") held(act.file);
    else if (act.kind === "remove") files.delete(act.file);
    else held(act.file).loose.push(act);
  }
  const left = new Map<string, Buffer>();
  for (const [file, { forced, loose, named }] of files) {
    // A name that its folder was not forced to keep may be gone, and the file with it.
    if (!named && random.unit() < 0.5) continue;
    left.set(
      file,
      loose.reduce((bytes, act) => partly(bytes, act, random), forced),
    );
  }
  return left;
}

function force(files: Map<string, Held>, file: string): void {
  const found = files.get(file);
  if (found !== undefined) {
    found.forced = found.loose.reduce(apply, found.forced);
    found.loose = [];
    return;
  }
  for (const [name, held] of files) if (dirname(name) === file) held.named = true;
}

/** Changes `bytes` itself where it is large enough. */
function apply(bytes: Buffer, act: Loose): Buffer {
  if (act.kind === "truncate") {
    const cut = Buffer.alloc(act.size);
    bytes.copy(cut, 0, 0, Math.min(act.size, bytes.length));
    return cut;
  }
  const size = Math.max(bytes.length, act.offset + act.bytes.length);
  const written = size > bytes.length ? Buffer.alloc(size) : bytes;
  if (size > bytes.length) bytes.copy(written);
  act.bytes.copy(written, act.offset);
  return written;
}

/** What a write becomes when only some of its sectors arrive. */
function partly(bytes: Buffer, act: Loose, random: Random): Buffer {
  if (act.kind === "truncate") return random.unit() < 0.5 ? bytes : apply(bytes, act);
  const mixed = apply(Buffer.from(bytes), act);
  const end = act.offset + act.bytes.length;
  for (let at = act.offset - (act.offset % SECTOR); at < end; at += SECTOR) {
    if (random.unit() < 0.5) continue;
    const [from, to] = [Math.max(at, act.offset), Math.min(at + SECTOR, end)];
    mixed.fill(0, from, to);
    if (from < bytes.length) bytes.copy(mixed, from, from, Math.min(to, bytes.length));
  }
  return mixed;
}
