// Builds the Debian package of the checkout for one architecture: files, scripts, description, and dpkg-deb over them.
// The same checkout gives the same bytes, whoever builds it and when.

import { chmod, cp, lutimes, mkdir, mkdtemp, readdir, readFile, rm, stat, symlink, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { compileAddons } from "./addons.ts";
import { type Architecture, compilerPackage } from "./architectures.ts";
import { commandPages } from "./command-pages.ts";
import { bashCompletion, fishCompletion, zshCompletion } from "./completion.ts";
import { changelog, controlFile, md5sums } from "./control.ts";
import { copyrightFile } from "./copyright.ts";
import { exec } from "./exec.ts";
import { installHostPackages } from "./host-packages.ts";
import { fetchKoffi } from "./koffi.ts";
import { manualPage } from "./manual.ts";
import { fetchHeaders, NODE_VERSIONS } from "./node-headers.ts";
import { nodeLines } from "./node-lines.ts";
import { expectBuilt, productionPackages } from "./production.ts";
import { type AddonSet, layOut, PROGRAM } from "./tree.ts";

/** Where the built package is, and how big. */
export type BuiltPackage = { readonly file: string; readonly bytes: number; readonly installedKibibytes: number };

type ProgramJson = {
  readonly name: string;
  readonly version: string;
  readonly description: string;
  readonly engines: { readonly node: string };
};

/** Debian's revision: it counts the packages of one version of the program. */
const REVISION = 1;

const DOCUMENTS = "usr/share/doc/emberwire";

/** Builds into the folder `out`. Rejects with the words of whatever refused. */
export async function buildPackage(
  checkout: string,
  architecture: Architecture,
  out: string,
  say: (line: string) => void,
): Promise<BuiltPackage> {
  await expectBuilt(checkout);
  await installHostPackages("the package", ["dpkg-dev", "binutils", await compilerPackage(architecture)], say);
  const program = JSON.parse(await readFile(join(checkout, "package.json"), "utf8")) as ProgramJson;
  const version = `${program.version}-${REVISION}`;
  const epoch = await sourceEpoch(checkout);
  const root = await mkdtemp(join(tmpdir(), "emberwire-package-"));
  try {
    const addonSets = await addonsFor(checkout, architecture, say);
    const koffi = await fetchKoffi(cacheOf(checkout), join(checkout, "node_modules"), architecture, say);
    const packages = await productionPackages(checkout);
    const made = await madeFiles(checkout, program, version, epoch, packages);
    await layOut(root, { checkout, architecture, packages, addonSets, koffi, made });
    await mkdir(join(root, "usr/bin"), { recursive: true });
    await symlink("../lib/emberwire/dist/daemon/main.js", join(root, "usr/bin/emberwire"));
    const installedKibibytes = await kibibytesBelow(root);
    const control = controlFile({
      version,
      architecture,
      description: program.description,
      installedKibibytes,
      libc: await libcNeeded(root, architecture),
      compiler: (await exec(`${architecture.triplet}-g++`, ["-dumpversion"], { deadlineSeconds: 20 })).trim(),
      nodeLines: nodeLines(program.engines.node),
    });
    await writeControl(checkout, root, control);
    await setTimes(root, epoch);
    await mkdir(out, { recursive: true });
    const file = join(out, `${program.name}_${version}_${architecture.debian}.deb`);
    say("packing");
    await exec("dpkg-deb", ["--root-owner-group", "-Zxz", "--build", root, file], {
      deadlineSeconds: 300,
      env: { SOURCE_DATE_EPOCH: String(epoch) },
    });
    return { file, bytes: (await stat(file)).size, installedKibibytes };
  } finally {
    await rm(root, { recursive: true });
  }
}

function cacheOf(checkout: string): string {
  return join(checkout, "systemd", "package", ".cache");
}

/** `SOURCE_DATE_EPOCH` of reproducible-builds.org, else the latest commit's time. Seconds since 1970. */
async function sourceEpoch(checkout: string): Promise<number> {
  const given = process.env["SOURCE_DATE_EPOCH"];
  if (given !== undefined && /^\d+$/.test(given)) return Number(given);
  const told = await exec("git", ["-C", checkout, "log", "-1", "--format=%ct"], { deadlineSeconds: 20 });
  return Number(told.trim());
}

async function addonsFor(
  checkout: string,
  { triplet }: Architecture,
  say: (line: string) => void,
): Promise<readonly AddonSet[]> {
  const cache = cacheOf(checkout);
  await mkdir(cache, { recursive: true });
  const nodes = await Promise.all(NODE_VERSIONS.map((version) => fetchHeaders(cache, version, say)));
  const targets = nodes.map((node) => ({ triplet, node, optimise: "-O2" }) as const);
  const compiled = await compileAddons(cache, join(checkout, "node_modules"), targets, say);
  return nodes.map(({ abi }, index) => ({ abi, addons: compiled[index]! }));
}

/** Files that no folder of the checkout holds. */
async function madeFiles(
  checkout: string,
  program: ProgramJson,
  version: string,
  epoch: number,
  packages: readonly string[],
): Promise<ReadonlyMap<string, string | Buffer>> {
  const pages = await commandPages();
  const when = new Date(epoch * 1000);
  const date = when.toISOString().slice(0, 10);
  // Node writes no time into the header, so the same text gives the same bytes.
  const packed = (text: string): Buffer => gzipSync(text, { level: 9 });
  const { name, description } = program;
  const heading = { version: program.version, date, description };
  const ran = { name, version: program.version, type: "module" };
  return new Map<string, string | Buffer>([
    [`${PROGRAM}/package.json`, `${JSON.stringify(ran, null, 2)}\n`],
    ["usr/share/man/man1/emberwire.1.gz", packed(manualPage(pages, heading))],
    ["usr/share/bash-completion/completions/emberwire", bashCompletion(pages)],
    ["usr/share/fish/vendor_completions.d/emberwire.fish", fishCompletion(pages)],
    ["usr/share/zsh/vendor-completions/_emberwire", zshCompletion(pages)],
    [`${DOCUMENTS}/changelog.Debian.gz`, packed(changelog(version, when))],
    [`${DOCUMENTS}/copyright`, await copyrightFile(checkout, packages, PROGRAM)],
    [`${DOCUMENTS}/README.md.gz`, packed(await readFile(join(checkout, "README.md"), "utf8"))],
    [
      "usr/share/lintian/overrides/emberwire",
      await readFile(join(checkout, "systemd/package/lintian-overrides"), "utf8"),
    ],
  ]);
}

async function writeControl(checkout: string, root: string, control: string): Promise<void> {
  const folder = join(root, "DEBIAN");
  await cp(join(checkout, "systemd/package/scripts"), folder, { recursive: true });
  for (const script of await readdir(folder)) await chmod(join(folder, script), 0o755);
  await chmod(folder, 0o755);
  const files: Readonly<Record<string, string>> = {
    control,
    conffiles: "/etc/emberwire/emberwire.toml\n",
    md5sums: await md5sums(root),
  };
  for (const [name, text] of Object.entries(files)) {
    await writeFile(join(folder, name), text);
    await chmod(join(folder, name), 0o644);
  }
}

/** The youngest version of a symbol that one of the addons takes from the C library. */
async function libcNeeded(root: string, { triplet }: Architecture): Promise<string> {
  const modules = join(root, PROGRAM, "node_modules");
  const addons = (await readdir(modules, { recursive: true })).filter((name) => name.endsWith(".node"));
  const told = await exec(`${triplet}-objdump`, ["-T", ...addons.map((name) => join(modules, name))], {
    deadlineSeconds: 60,
  });
  const versions = [...told.matchAll(/GLIBC_(\d+)\.(\d+)/g)].map(([, major, minor]) => [Number(major), Number(minor)]);
  versions.sort(([a = 0, b = 0], [c = 0, d = 0]) => a - c || b - d);
  return (versions.at(-1) ?? [2, 0]).join(".");
}

async function kibibytesBelow(folder: string): Promise<number> {
  let sum = 0;
  for (const entry of await readdir(folder, { recursive: true, withFileTypes: true }))
    sum += entry.isFile() ? Math.ceil((await stat(join(entry.parentPath, entry.name))).size / 1024) : 1;
  return sum;
}

async function setTimes(root: string, epoch: number): Promise<void> {
  const entries = await readdir(root, { recursive: true });
  for (const entry of [...entries, "."]) await lutimes(join(root, entry), epoch, epoch);
}
