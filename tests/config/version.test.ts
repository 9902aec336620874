// Versions of the config's form: a file stored as it was written then is read to the same end, an older one is brought forward with
// its comments and lines, one of a newer program is refused in words; and what a file on the disk goes through.

import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { readCheckpoint } from "../../daemon/checkpoint.ts";
import { register } from "../../daemon/commands/config.ts";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import { writeConfigFile } from "../../daemon/config/config-file.ts";
import { modelOf } from "../../daemon/config/model.ts";
import { parseModel } from "../../daemon/config/model-file.ts";
import { formOf, parseConfig, readConfigFile } from "../../daemon/config/parse.ts";
import { describeProblem, RequestError } from "../../daemon/config/problem.ts";
import { CONFIG_VERSION, FORM_STEPS, type FormStep, withVersion } from "../../daemon/config/version.ts";
import { beginState } from "../../daemon/core/step.ts";
import { DEMO_CONFIG, DEMO_NAME } from "../../daemon/demo.ts";
import { DEMO_MODEL } from "../../daemon/demo-model.ts";
import { told } from "../commands/told.ts";
import { testFolder } from "../support/folder.ts";

const STORED = fileURLToPath(new URL("./fixtures/version-1.toml", import.meta.url));
const GOOD = '# mine\n[transformer]\nmix = "43"   # from the drawer\ntoroids = 3\nprimary_turns = 3\n';

/** A change such as a later program may make: a key gets another name. */
const RENAMED: FormStep = {
  from: 1,
  says: "rings is toroids",
  rewrite: (text) => text.replace(/^rings\b/m, "toroids"),
};

const linesOf = (use: () => unknown): readonly string[] => {
  try {
    use();
  } catch (error) {
    if (error instanceof RequestError) return error.problems.map(describeProblem);
    throw error;
  }
  return [];
};

describe("a file of version 1, stored as it was written then", () => {
  it("is read to the same end", () => {
    const then = JSON.parse(readFileSync(STORED.replace(".toml", ".json"), "utf8")) as object;
    expect(readConfigFile(STORED).config).toMatchObject(then);
  });

  it("and every version since has its step", () => {
    expect(FORM_STEPS.map(({ from }) => from)).toEqual(Array.from({ length: CONFIG_VERSION - 1 }, (_, at) => at + 1));
  });
});

describe("a file of an older version", () => {
  const old = GOOD.replace("toroids", "rings");

  it("is read as today's in memory, and says what was changed", () => {
    expect(linesOf(() => parseConfig(old, "x.toml"))[0]).toContain("transformer.toroids");
    const { config, changes, placeOf } = parseConfig(old, "x.toml", [RENAMED]);
    expect(config.transformer.toroids).toBe(3);
    expect(changes).toEqual(["rings is toroids"]);
    expect(placeOf(["transformer", "toroids"])).toBe("x.toml:4");
  });

  it("becomes today's text with its comments and order", () => {
    const { text, from } = formOf(old, "x.toml", [RENAMED]);
    expect(from).toBe(1);
    expect(withVersion(text, 2)).toBe(`version = 2\n${GOOD}`);
    expect(withVersion(`version = 1 # old\n${GOOD}`, 2)).toBe(`version = 2 # old\n${GOOD}`);
    expect(withVersion("[x]\nversion = 7\n", 2)).toBe("version = 2\n[x]\nversion = 7\n");
  });

  it("is left alone by a step that lies behind it", () => {
    const { changes } = formOf(`version = 2\n${GOOD}`, "x.toml", [RENAMED]);
    expect(changes).toEqual([]);
  });
});

describe("a file of a newer program", () => {
  it("is refused with its line and what to do, before its keys are looked at", () => {
    const future = `version = ${CONFIG_VERSION + 1}\n[levitation]\nheight = 3\n`;
    expect(linesOf(() => parseConfig(future, "x.toml"))).toEqual([
      `x.toml:1: version: expected ${CONFIG_VERSION} or older; a newer emberwire wrote it: install that one again, or put back the file kept from before, got ${CONFIG_VERSION + 1}`,
    ]);
  });

  it.each(['"one"', "1.5", "0", "true"])("and %s is no version", (version) => {
    expect(linesOf(() => parseConfig(`version = ${version}\n${GOOD}`, "x.toml"))).toEqual([
      `x.toml:1: version: expected a whole number from 1 to ${CONFIG_VERSION}, got ${version}`,
    ]);
  });
});

describe("a model", () => {
  const demo = parseConfig(DEMO_CONFIG, DEMO_NAME);
  const said = (text: string) => linesOf(() => parseModel(text, "m.toml", modelOf(demo)));

  it("of a newer program is refused with what to do, before its sum is looked at", () => {
    expect(said(DEMO_MODEL)).toEqual([]);
    expect(said(DEMO_MODEL.replace("version = 1", "version = 2"))).toEqual([
      "m.toml: version: expected 1, or fit the recording again with this program; a newer emberwire wrote it: install that one again, or put back the file kept from before, got 2",
    ]);
  });
});

describe("a checkpoint", () => {
  const read = (text: string | null, trouble: string | null = null) => readCheckpoint({ text, trouble }, "log.db");

  it("that was never made is none", () => {
    expect(read(null)).toEqual({ checkpoint: null, unreadable: null });
  });

  it.each([
    ["{spoilt", null],
    ['{"version":"2"}', null],
    ['{"version":1,"tripped":"no"}', null],
    [null, "disk I/O error"],
  ])(
    "that cannot be read (%j, %j) may tell of a trip: nothing is permitted until a person resets it",
    (text, trouble) => {
      const { checkpoint, unreadable } = read(text, trouble);
      expect(unreadable).not.toBeNull();
      const program = programFrom(configFrom(undefined));
      const { stage } = beginState(program, checkpoint, 0);
      expect(stage).toMatchObject({ stage: "inhibited", latched: true });
      expect(stage.reasons.join()).toContain("cannot be read");
    },
  );

  it("of a newer program stops the daemon", () => {
    expect(linesOf(() => read('{"version":2,"tripped":true}'))).toEqual([
      "log.db: checkpoint: expected one of an older version; a newer emberwire wrote it: install that one again, or put back the file kept from before, got version 2",
    ]);
  });
});

describe("on the disk", () => {
  it("the file is replaced as a whole, through a link, with its mode, and the old one kept", () => {
    const folder = testFolder();
    const file = join(folder, "emberwire.toml");
    writeFileSync(file, "old\n", { mode: 0o600 });
    const link = join(folder, "link.toml");
    symlinkSync(file, link);
    expect(writeConfigFile(link, "new\n", "version-1")).toBe(`${file}.version-1`);
    expect([readFileSync(file, "utf8"), readFileSync(`${file}.version-1`, "utf8")]).toEqual(["new\n", "old\n"]);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readdirSync(folder).toSorted()).toEqual(["emberwire.toml", "emberwire.toml.version-1", "link.toml"]);
  });

  it("a new file is for owner and group only", () => {
    const file = join(testFolder(), "emberwire.toml");
    expect(writeConfigFile(file, "new\n", "before")).toBeNull();
    expect(statSync(file).mode & 0o007).toBe(0);
  });

  it("what cannot be written leaves nothing half behind", () => {
    const folder = testFolder();
    mkdirSync(join(folder, "emberwire.toml"));
    expect(linesOf(() => writeConfigFile(join(folder, "emberwire.toml"), "new\n", "before"))[0]).toMatch(
      /--config: expected a file that can be written, got .*/,
    );
    expect(readdirSync(folder)).toEqual(["emberwire.toml"]);
    expect(linesOf(() => writeConfigFile(join(folder, "no/such/x.toml"), "new\n", "before"))).toHaveLength(1);
  });

  it("`config upgrade` leaves today's file as it is, and refuses a newer one", async () => {
    const file = join(testFolder(), "emberwire.toml");
    writeFileSync(file, GOOD);
    const answer = await told(register, ["config", "upgrade", "--config", file]);
    expect(answer).toMatchObject({ status: 0 });
    expect(answer.out).toContain("there is nothing to do");
    expect(readFileSync(file, "utf8")).toBe(GOOD);
    expect(existsSync(`${file}.version-1`)).toBe(false);
    writeFileSync(file, `version = 99\n${GOOD}`);
    expect(await told(register, ["config", "upgrade", "--config", file])).toMatchObject({ status: 2 });
    expect(readFileSync(file, "utf8")).toBe(`version = 99\n${GOOD}`);
  });
});
