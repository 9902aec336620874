// The guest's Node is the last that the npm registry has for 32-bit ARM, and a little older than the oldest that the program
// asks for. A file that imports a function it does not have gets the module from the guest's folder instead; nothing else changes.

import { readdir, readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";

/** A built-in module, what is missing in it, and the file of the guest that has it. */
type Younger = { readonly builtin: string; readonly missing: string; readonly replacement: string };

/** `crc32` came with Node 20.15. */
const YOUNGER: readonly Younger[] = [{ builtin: "node:zlib", missing: "crc32", replacement: "zlib.mjs" }];

function redirect(text: string): string {
  let changed = text;
  for (const { builtin, missing, replacement } of YOUNGER) {
    const imports = new RegExp(`import \\{[^}]*\\b${missing}\\b[^}]*\\} from "${builtin}"`);
    changed = changed.replace(imports, (found) => found.replace(`"${builtin}"`, `"/${replacement}"`));
  }
  return changed;
}

/** Files that the guest needs beside the program. */
export const REPLACEMENTS: readonly string[] = YOUNGER.map(({ replacement }) => replacement);

/** Redirects the imports of all compiled files below `folder`. */
export async function redirectYoungerBuiltins(folder: string): Promise<void> {
  for (const entry of await readdir(folder, { recursive: true })) {
    if (!entry.endsWith(".js")) continue;
    const file = join(folder, entry);
    const text = await readFile(file, "utf8");
    const changed = redirect(text);
    if (changed !== text) await writeFile(file, changed);
  }
}
