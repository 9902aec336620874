// What a page that a network can reach is said to be, by host, password and certificate.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { sealPassword } from "../../daemon/access/password.ts";
import { EMPTY_REGISTER, writeRegister } from "../../daemon/access/register.ts";
import { exposureWarnings, overviewWarnings } from "../../daemon/exposure.ts";
import { testFolderPath } from "../support/folder.ts";

const { folder, remove } = testFolderPath();
afterAll(remove);

const told = (host: string, encrypted: boolean, register: string): string[] =>
  exposureWarnings({ host, encrypted, register }).map((line) => line.replace(/^listen: /, ""));

describe("a page on this machine only", () => {
  it.each(["127.0.0.1", "::1", "localhost"])("%s says nothing", (host) => {
    expect(told(host, false, join(folder, "none.json"))).toEqual([]);
  });
});

describe("a page on a network", () => {
  it("says that it only shows, to everybody, for everybody to read", () => {
    const lines = told("0.0.0.0", false, join(folder, "none.json"));
    expect(lines).toHaveLength(3);
    expect(lines[0]).toContain("without an operator password");
    expect(lines[1]).toContain("may look");
    expect(lines[2]).toContain("without TLS");
  });

  it("says nothing more where both passwords and a certificate are there", async () => {
    const file = join(folder, "register.json");
    const sealed = await sealPassword("long enough to be one", Buffer.alloc(16, 7));
    writeRegister(file, { ...EMPTY_REGISTER, operator: sealed, viewer: sealed });
    expect(told("0.0.0.0", true, file)).toEqual([]);
    expect(told("0.0.0.0", false, file)).toHaveLength(1);
  });

  it("leaves a register that cannot be read to the gate, which lets nobody in", () => {
    const file = join(folder, "spoiled.json");
    writeFileSync(file, "{");
    expect(told("0.0.0.0", true, file)).toEqual([]);
  });
});

describe("an overview", () => {
  it("says on a network that it asks nobody for a password, and who can read along", () => {
    expect(overviewWarnings({ host: "127.0.0.1", encrypted: false })).toEqual([]);
    const lines = overviewWarnings({ host: "0.0.0.0", encrypted: false });
    expect(lines).toEqual([expect.stringContaining("no password"), expect.stringContaining("without TLS")]);
    expect(overviewWarnings({ host: "0.0.0.0", encrypted: true })).toHaveLength(1);
  });
});
