// A small text file that an operator named: its text, or one problem in words. It knows nothing of what stands in it.

import { readFileSync, statSync } from "node:fs";
import { RequestError } from "./problem.ts";

/** Codes of the system that an operator meets, in words. */
const SAID: Readonly<Record<string, string>> = {
  ENOENT: "there is none",
  EISDIR: "it is a folder",
  EACCES: "not permitted to this user",
  EROFS: "the disk is read-only",
  ENOSPC: "the disk is full",
};

/** `FILE (why not)`, for the `got` of a problem. */
export function fileTrouble(file: string, error: unknown): string {
  const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
  return `${file} (${SAID[code] ?? code})`;
}

/** Who asked for the file, and how large it may be. */
export type TextFileRequest = {
  /** The flag or key that named it. */
  readonly what: string;
  readonly where: string;
  readonly mostBytes: number;
  /** What it should be; a file that can be read where nothing is said. */
  readonly expected?: string;
};

/** The whole text. @throws RequestError when it cannot be read or is too large to be what was meant */
export function readTextFile(file: string, { what, where, mostBytes, expected }: TextFileRequest): string {
  const refused = (wanted: string, got: string): RequestError =>
    new RequestError([{ what, where, expected: expected ?? wanted, got }]);
  try {
    const { size } = statSync(file);
    if (size > mostBytes) throw refused(`a file of at most ${mostBytes} bytes`, `${file} with ${size} bytes`);
    return readFileSync(file, "utf8");
  } catch (error) {
    if (error instanceof RequestError) throw error;
    throw refused("a file that can be read", fileTrouble(file, error));
  }
}
