// The copyright file in Debian's machine-readable format 1.0: the program's licence, and that of every package inside.

import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";

const FORMAT = "https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/";
const LICENCE_FILE = /^(licen[cs]e|copying)([.-].*)?$/i;

type PackageJson = {
  readonly license?: string | { readonly type: string };
  readonly author?: string | { readonly name: string };
};

async function licenceText(folder: string): Promise<string | null> {
  const name = (await readdir(folder)).sort().find((entry) => LICENCE_FILE.test(entry));
  return name === undefined ? null : (await readFile(join(folder, name), "utf8")).trim();
}

/** Debian's policy 12.5: what every system has is named and not repeated. */
function commonLicence(text: string | null): string | null {
  if (text === null || !/Apache License\s+Version 2\.0/.test(text)) return null;
  return "On Debian systems the text is in /usr/share/common-licenses/Apache-2.0.";
}

/** Continuation lines of a field: indented, an empty line as a point. */
function indented(text: string): string {
  return text
    .split("\n")
    .map((line) => (line.trim() === "" ? " ." : ` ${line.trimEnd()}`))
    .join("\n");
}

function holders(text: string | null, author: string): string {
  const lines = (text ?? "")
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => /^(portions )?copyright\b.*(\d|\(c\)|©)/i.test(line));
  return lines.length === 0 ? author : lines.join("\n           ");
}

/** One paragraph for some files; what lies in several folders has the terms of all of them. */
async function paragraph(files: string, folders: readonly string[]): Promise<string> {
  const parts = await Promise.all(
    folders.map(async (folder) => {
      const described = JSON.parse(await readFile(join(folder, "package.json"), "utf8")) as PackageJson;
      const text = await licenceText(folder);
      const { license, author } = described;
      const name = typeof license === "object" ? license.type : (license ?? "see-text");
      const by = typeof author === "object" ? author.name : (author ?? "its authors");
      const said =
        commonLicence(text) ?? text ?? `Its description names the licence ${name} and brings no text of its own.`;
      return { name: name.replaceAll(" ", "-"), holders: holders(text, by), said };
    }),
  );
  const names = [...new Set(parts.map(({ name }) => name))].join(" and ");
  const by = parts.map((part) => part.holders).join("\n           ");
  return `Files: ${files}\nCopyright: ${by}\nLicense: ${names}\n${indented(parts.map(({ said }) => said).join("\n\n"))}\n`;
}

/** What the page's bundle is made of. */
const BUNDLED = ["preact", "@preact/signals", "@preact/signals-core", "chart.js"].map((name) => `node_modules/${name}`);

/** `packages` are folders below the checkout; `program` is where they lie in the system. */
export async function copyrightFile(checkout: string, packages: readonly string[], program: string): Promise<string> {
  const below = (folder: string): string => join(checkout, folder);
  return [
    `Format: ${FORMAT}\nUpstream-Name: emberwire\n`,
    await paragraph("*", [checkout]),
    await paragraph(`${program}/dist/web/assets/*`, BUNDLED.map(below)),
    ...(await Promise.all(packages.map((folder) => paragraph(`${program}/${folder}/*`, [below(folder)])))),
  ].join("\n");
}
