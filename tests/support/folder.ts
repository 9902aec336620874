// A folder of a test's own, gone when the test is.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { onTestFinished } from "vitest";

/** Below the system's folder for such things. */
export function testFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "emberwire-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** For a suite that uses one folder throughout and removes it itself. */
export function testFolderPath(): { readonly folder: string; readonly remove: () => void } {
  const folder = mkdtempSync(join(tmpdir(), "emberwire-"));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}
