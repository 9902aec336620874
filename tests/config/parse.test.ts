// A config's problems: each with its key, line, what was expected and what stood there; and what a good one becomes.

import { describe, expect, it } from "vitest";
import { parseConfig } from "../../daemon/config/parse.ts";
import { describeProblem, type Problem, RequestError } from "../../daemon/config/problem.ts";
import { configJsonSchema } from "../../daemon/config/schema/config.ts";

const GOOD = `[transformer]
mix = "43"
toroids = 3
primary_turns = 3
`;

function problemsOf(text: string): readonly Problem[] {
  try {
    parseConfig(text, "x.toml");
  } catch (error) {
    if (error instanceof RequestError) return error.problems;
    throw error;
  }
  return [];
}

const linesOf = (text: string): readonly string[] => problemsOf(text).map(describeProblem);

describe("a good config", () => {
  it("needs the transformer only; the rest has defaults that run", () => {
    const { config } = parseConfig(GOOD, "x.toml");
    expect(config.listen).toMatchObject({ host: "127.0.0.1", port: 8373, clients: 64 });
    expect(config.sensor.map(({ role }) => role)).toEqual(["inlet", "outlet"]);
    expect(config.relay).toBeUndefined();
  });

  it("comes out in SI and frozen to the bottom", () => {
    const { config } = parseConfig(
      `${GOOD}[limits]\ncore = "230F"\nestimate_grace = "4s"\n[feedpoint]\naltitude = "1000ft"\n`,
      "x.toml",
    );
    expect(config.limits.core).toBeCloseTo(110, 10);
    expect(config.feedpoint.altitude).toBeCloseTo(304.8, 10);
    expect(Object.isFrozen(config.limits)).toBe(true);
    expect(() => {
      (config.limits as { core: number }).core = 200;
    }).toThrow(TypeError);
  });

  it("knows where each key stands, and the file for those that do not", () => {
    const { placeOf } = parseConfig(`${GOOD}[[sensor]]\nname = "a"\nrole = "inlet"\nhwmon = "/x"\n`, "x.toml");
    expect(placeOf(["sensor", 0, "role"])).toBe("x.toml:7");
    expect(placeOf(["sensor", 0, "bus"])).toBe("x.toml:5");
    expect(placeOf(["limits", "core"])).toBe("x.toml");
  });

  it("may write a table in any of TOML's ways", () => {
    const { config } = parseConfig(
      'transformer = { mix = "52", toroids = 2, primary_turns = 2 }\nlisten.port = 80\n',
      "x.toml",
    );
    expect(config.transformer).toMatchObject({ mix: "52", toroids: 2 });
    expect(config.listen.port).toBe(80);
  });
});

describe("one line a problem", () => {
  it.each([
    [
      `${GOOD}[fan.power_cycle]\nattempts = 3\nwait = "2s"\n`,
      'x.toml:7: fan.power_cycle.wait: expected a duration from 5 to 600 s, got "2s"',
    ],
    [`${GOOD}[limits]\ncor = "110C"`, 'x.toml:6: limits.cor: expected a known key; the nearest is "core", got "cor"'],
    [`${GOOD}[limit]\ncore = 1`, 'x.toml:5: limit: expected a known key; the nearest is "limits", got "limit"'],
    [`${GOOD}[limits]\ncore = "hot"`, 'x.toml:6: limits.core: expected a temperature such as 30C or 85F, got "hot"'],
    [`${GOOD}[limits]\ncore = 999`, 'x.toml:6: limits.core: expected a temperature from 40 to 400 C, got "999"'],
    [`${GOOD}[limits]\ncore = true`, "x.toml:6: limits.core: expected a temperature such as 30C or 85F, got true"],
    [`${GOOD}[listen]\nport = 80.5`, "x.toml:6: listen.port: expected a whole number from 0 to 65535, got 80.5"],
    [`listen = 3\n${GOOD}`, "x.toml:1: listen: expected a table, got 3"],
    ["", "x.toml: transformer: expected a table [transformer] with mix, toroids and primary_turns, got nothing"],
    [
      `${GOOD}[[sensor]]\nname = "a"\nrole = "inlt"\nhwmon = "/x"`,
      'x.toml:7: sensor[0].role: expected one of inlet, outlet, wall, ambient, core, got "inlt"',
    ],
    [
      `${GOOD}[[sensor]]\nname = "a"\nrole = "inlet"\nchip = "tmp117"`,
      "x.toml:5: sensor[0].address: expected the chip's address such as 0x48, got nothing",
    ],
    [
      `${GOOD}[[sensor]]\nname = "a"\nrole = "inlet"\nchip = "tmp117"\naddress = 0x48\nhwmon = "/x"`,
      "x.toml:5: sensor[0]: expected one of chip, hwmon, one_wire, got chip and hwmon",
    ],
    [
      `${GOOD}[tach]\nline = 17\nhwmon = "/x"`,
      "x.toml:5: tach: expected line, hwmon, or fitted = false, got line and hwmon",
    ],
    [
      `${GOOD}[drive]\ncalibration = [["1V", "100W"]]`,
      'x.toml:6: drive.calibration: expected at least two points, got [["1V","100W"]]',
    ],
  ])("%j", (text, line) => {
    expect(linesOf(text)).toEqual([line]);
  });

  it("names all of them, not only the first", () => {
    const wrong = `${GOOD}[limits]\ncore = "hot"\nreduc = 1\n[listen]\nport = -1\nhost = ""\n`;
    expect(
      problemsOf(wrong)
        .map(({ what }) => what)
        .sort(),
    ).toEqual(["limits.core", "limits.reduc", "listen.host", "listen.port"]);
  });

  it("text that is no TOML is one problem with its line", () => {
    expect(problemsOf(`${GOOD}[limits\ncore = 1`)).toMatchObject([{ what: "TOML", where: "x.toml:6" }]);
    expect(problemsOf(`${GOOD}mix = "52"`)).toMatchObject([{ what: "TOML", where: "x.toml:5" }]);
  });

  it.each(["__proto__", "constructor", "constructor.prototype", "a.__proto__", "toString"])(
    "a key %s is a problem, and reaches no other object",
    (key) => {
      expect(problemsOf(`${GOOD}[${key}]\nreached = 1`).length).toBeGreaterThan(0);
      expect(problemsOf(`${GOOD}[limits]\n${key} = { reached = 1 }`).length).toBeGreaterThan(0);
      expect({}).not.toHaveProperty("reached");
      expect(Object).not.toHaveProperty("reached");
    },
  );
});

describe("the printed schema", () => {
  it("names every table an operator may write", () => {
    const { properties } = configJsonSchema() as { readonly properties: object };
    expect(Object.keys(properties)).toEqual(
      expect.arrayContaining(["transformer", "sensor", "tach", "relay", "limits", "listen", "log"]),
    );
  });
});

describe("the schema that is printed", () => {
  type Node = {
    readonly type?: string | readonly string[];
    readonly description?: string;
    readonly properties?: Readonly<Record<string, Node>>;
  };
  const leaves = (node: Node, path = ""): [path: string, leaf: Node][] =>
    Object.entries(node.properties ?? {}).flatMap(([key, child]) =>
      child.properties === undefined
        ? [[`${path}${key}`, child] satisfies [string, Node]]
        : leaves(child, `${path}${key}.`),
    );
  const quantities = leaves(configJsonSchema() as Node).filter(([, { type }]) => Array.isArray(type));

  it("says of every quantity how it is written and how large it may be", () => {
    expect(quantities.length).toBeGreaterThan(30);
    expect(quantities.filter(([, { description }]) => !/such as .+; from .+ to /.test(description ?? ""))).toEqual([]);
    expect(Object.fromEntries(quantities)["limits.core"]?.description).toBe(
      "a temperature such as 30C or 85F; from 40 to 400 as a bare number",
    );
  });
});
