// The folder of what the daemon writes: made with its parents, and a place where none can be made is no reason to hang.

import { existsSync, statSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { dataFolder, logFile, makeFolder } from "../../daemon/folder.ts";
import { testFolder } from "../support/folder.ts";

describe("the folder", () => {
  it("is made with its parents, closed to others, and may be there already", () => {
    const folder = join(testFolder(), "a", "b");
    makeFolder(folder);
    makeFolder(folder);
    expect(statSync(folder).mode & 0o777).toBe(0o750);
  });

  it("that the kernel will not make is left unmade, without an error and without going round for ever", () => {
    makeFolder("/proc/none/below");
    expect(existsSync("/proc/none")).toBe(false);
  });

  it("keeps simulated and real data apart, wherever it was told to be", () => {
    expect(dataFolder("/srv/x")).toBe("/srv/x");
    expect(logFile("/srv/x", true)).not.toBe(logFile("/srv/x", false));
  });
});
