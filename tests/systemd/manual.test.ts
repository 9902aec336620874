// The manual page as groff sets it (Debian's man is made of it): nothing it would warn of, and what a reader looks for.

import { beforeAll, describe, expect, it } from "vitest";
import { commandPages } from "../../systemd/package/command-pages.ts";
import { exec } from "../../systemd/package/exec.ts";
import { installHostPackages } from "../../systemd/package/host-packages.ts";
import { manualPage } from "../../systemd/package/manual.ts";

describe("the manual page", async () => {
  const pages = await commandPages();
  const source = manualPage(pages, { version: "1.2.3", date: "2026-11-27", description: "What it is." });

  beforeAll(() =>
    installHostPackages("the test of the manual", ["groff-base"], (line) => process.stdout.write(`${line}\n`)),
  );

  const set = (text: string): Promise<string> =>
    exec("sh", ["-c", "groff -man -Tutf8 -P-cbou -ww -rLL=200n 2>&1"], { input: text, deadlineSeconds: 20 });

  it("is set without a warning, with every command and every flag's usual value", async () => {
    const page = await set(source);
    expect(page).not.toContain("warning");
    for (const { words } of pages) expect(page).toContain(`\n   ${words.join(" ")} [options]`);
    expect(page).toMatch(/--every <time>\n +1s, 1min or 15min \(1min unless given\)/);
  });

  it("would be found out with a word that is no request", async () => {
    expect(await set(`${source}.XX\n`)).toContain("warning");
  });
});
