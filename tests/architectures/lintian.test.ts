// Every package before Debian's own judge of packages: no error, no warning, and each exception with its reason in the package.

import { readFile } from "node:fs/promises";
import { expect, inject, it } from "vitest";
import { exec } from "../../systemd/package/exec.ts";

const OVERRIDES = new URL("../../systemd/package/lintian-overrides", import.meta.url);

it.each(Object.entries(inject("packages")))(
  "%s has no error, no warning, and no exception for nothing",
  async (_, file) => {
    const words = ["--show-overrides", "--pedantic", "--display-info", "--tag-display-limit", "0"];
    const said = (await exec("lintian", [...words, file], { deadlineSeconds: 120 })).split("\n");
    // It saw the package: something of small weight is always said, and the exceptions with it.
    const overridden = said.filter((line) => line.startsWith("O: ")).map((line) => line.split(" ")[2]);
    const excepted = (await readFile(OVERRIDES, "utf8")).split("\n").filter((line) => /^[^#]/.test(line));
    expect([...new Set(overridden)].toSorted()).toEqual(excepted.map((line) => line.split(" ")[1]).toSorted());
    expect(said.filter((line) => /^[EW]: /.test(line))).toEqual([]);
    expect(said.filter((line) => /: (unused-override|mismatched-override|malformed-override) /.test(line))).toEqual([]);
  },
);

it("every exception stands below its reason", async () => {
  const lines = (await readFile(OVERRIDES, "utf8")).trimEnd().split("\n");
  lines.forEach((line, index) => {
    if (!line.startsWith("#")) expect(lines[index - 1], line).toMatch(/^# .{20,}/);
  });
});
