// What a lowered rig's power was, on the disk: kept whole, bound to its server, and no memory at all once anything is odd.

import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { rigMemory } from "../../daemon/rig-memory.ts";
import { testFolder } from "../support/folder.ts";

const SERVER = { host: "127.0.0.1", port: 4532 };
const HELD = { foundRatio: 0.8, setRatio: 0.25, confirmed: true };
const file = () => join(testFolder(), "rig-power.json");

it("comes back as it was kept, and goes when it is over", () => {
  const path = file();
  rigMemory(path, SERVER).keep(HELD);
  expect(rigMemory(path, SERVER).recall()).toEqual(HELD);
  rigMemory(path, SERVER).keep(null);
  expect(existsSync(path)).toBe(false);
  expect(rigMemory(path, SERVER).recall()).toBeNull();
});

it("is of one rig only", () => {
  const path = file();
  rigMemory(path, SERVER).keep(HELD);
  expect(rigMemory(path, { ...SERVER, port: 4533 }).recall()).toBeNull();
});

it.each([
  "",
  "{",
  "null",
  '{"server":"127.0.0.1:4532","foundRatio":0.8}',
  '{"server":"127.0.0.1:4532","foundRatio":7,"setRatio":0.25}',
  '{"server":"127.0.0.1:4532","foundRatio":0.2,"setRatio":0.25}',
  `{"server":"127.0.0.1:4532","foundRatio":0.8,"setRatio":0.25,"note":"${"x".repeat(2000)}"}`,
])("is nothing in a file with %s", (text) => {
  const path = file();
  writeFileSync(path, text);
  expect(rigMemory(path, SERVER).recall()).toBeNull();
});

it("says that it cannot be kept", () => {
  expect(() => rigMemory("/proc/rig-power.json", SERVER).keep(HELD)).toThrowError();
});
