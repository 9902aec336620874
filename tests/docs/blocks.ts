// Blocks of the two documents that a program can print, between marks, so that no table is typed by hand.

/** The text between `<!-- generated: name -->` marks, without them; null when the marks are not there. */
export function readBlock(document: string, name: string): string | null {
  return blockPattern(name).exec(document)?.[2] ?? null;
}

/** The document with that block replaced. Throws when the marks are not there: a lost mark must not lose a table silently. */
export function writeBlock(document: string, name: string, text: string): string {
  const pattern = blockPattern(name);
  if (!pattern.test(document)) throw new Error(`no block "${name}" in the document`);
  return document.replace(pattern, (_all, open: string, _old: string, close: string) => `${open}${text}${close}`);
}

function blockPattern(name: string): RegExp {
  return new RegExp(`(<!-- generated: ${name} -->\\n)([\\s\\S]*?)(<!-- /generated: ${name} -->)`);
}
