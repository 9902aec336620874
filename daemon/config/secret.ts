// A secret in a file of its own, so that the config may be shown to anybody. It never says what the secret is.

import { RequestError } from "./problem.ts";
import { readTextFile } from "./text-file.ts";

const LONGEST_SECRET_BYTES = 4096;

/**
 * The file's first line; the newline that editors add does not belong to it.
 * @throws RequestError when it cannot be read or is empty
 */
export function readSecret(file: string, asking: { readonly what: string; readonly where: string }): string {
  const expected = `a file with the secret in its first line, of at most ${LONGEST_SECRET_BYTES} bytes`;
  const asked = { ...asking, expected };
  const [line = ""] = readTextFile(file, { ...asked, mostBytes: LONGEST_SECRET_BYTES }).split(/\r?\n/, 1);
  if (line === "") throw new RequestError([{ ...asked, got: `${file}, which is empty` }]);
  return line;
}
