// GPIO lines as people write them: by number, by pin, by name; and what is refused before any board is asked.
import { describe, expect, it } from "vitest";
import { hardwareSpec } from "../../daemon/config/hardware-spec.ts";
import { parseConfig } from "../../daemon/config/parse.ts";
import { RequestError } from "../../daemon/config/problem.ts";

const TRANSFORMER = '[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n';

const specOf = (text: string) => hardwareSpec(parseConfig(`${TRANSFORMER}${text}`, "x.toml"));

function problemsOf(text: string) {
  try {
    specOf(text);
  } catch (error) {
    if (error instanceof RequestError) return error.problems;
    throw error;
  }
  return [];
}

describe("a line", () => {
  it("is a number on the header's chip or on a named one, a pin, or a name", () => {
    const { relay, tachometer, buzzer } = specOf(
      '[tach]\nline = "pin 11"\n[relay]\nreduce = 23\ninhibit = "GPIO24"\n[buzzer]\nline = "FAN"\nchip = "a.gpio"\n',
    );
    expect(tachometer).toEqual({ kind: "gpio", line: { headerPin: 11 }, bias: "pull-up", pulsesPerRevolution: 2 });
    expect(relay).toEqual({ reduce: { chipLabel: null, offset: 23 }, inhibit: { chipLabel: null, name: "GPIO24" } });
    expect(buzzer).toEqual({ chipLabel: "a.gpio", name: "FAN" });
  });

  it.each([
    ["-1", "-1"],
    ["1024", "1024"],
    ["1.5", "1.5"],
    ['"pin 0"', "pin 0"],
    ['"pin 41"', "pin 41"],
    ['"23"', "23"],
    ['""', '""'],
    ["true", "true"],
  ])("is not %s", (written) => {
    expect(problemsOf(`[buzzer]\nline = ${written}\n`)).toMatchObject([
      { what: "buzzer.line", where: "x.toml:6", expected: expect.stringContaining('"pin 16"') },
    ]);
  });

  it.each([
    ["6", "ground"],
    ["1", "3.3 V"],
  ])("is not at pin %s, which carries %s", (pin, carries) => {
    expect(problemsOf(`[buzzer]\nline = "pin ${pin}"\n`)).toMatchObject([
      { what: "buzzer.line", expected: "a pin that is a GPIO line", got: `pin ${pin}, ${carries}` },
    ]);
  });

  it("counted by pin has no other chip", () => {
    expect(problemsOf('[buzzer]\nline = "pin 16"\nchip = "a.gpio"\n')).toMatchObject([
      { what: "buzzer.line", expected: expect.stringContaining("a.gpio") },
    ]);
  });

  // GPIO17 is line 17 of the header's chip and sits on pin 11.
  it.each(["17", '"pin 11"', '"GPIO17"'])("is taken once, however it is written: %s", (written) => {
    expect(problemsOf(`[relay]\nreduce = ${written}\ninhibit = 24\n`)).toMatchObject([
      { what: "relay.reduce", expected: "something other than tach.line has", got: "line 17 of the header's chip" },
    ]);
  });

  it("of another chip is another line", () => {
    expect(problemsOf('[buzzer]\nline = 17\nchip = "a.gpio"\n')).toEqual([]);
  });
});

describe("a line that must be low while no program runs", () => {
  // GPIO14 is the serial console's output (Raspberry Pi documentation, "Configure UARTs"; from memory); a silent UART is high (common practice, no source).
  it.each([
    [
      "relay.reduce",
      '[relay]\nreduce = "pin 8"\ninhibit = 24\n',
      "pin 8, GPIO14, which a serial console holds high and would permit",
    ],
    [
      "relay.inhibit",
      "[relay]\nreduce = 23\ninhibit = 14\n",
      "pin 8, GPIO14, which a serial console holds high and would permit",
    ],
    [
      "fan_cut.line",
      '[fan.power_cycle]\nattempts = 3\n[fan_cut]\nline = "GPIO14"\n',
      "pin 8, GPIO14, which a serial console holds high and would cut the fan off",
    ],
    ["relay.inhibit", "[relay]\nreduce = 23\ninhibit = 8\n", "pin 24, GPIO8, which is pulled up and would permit"],
  ])("is refused: %s", (what, text, got) => {
    expect(problemsOf(text)).toMatchObject([{ what, got: expect.stringContaining(got) }]);
  });

  it.each(["9", "13", "15", "27"])("may be GPIO%s", (offset) => {
    expect(problemsOf(`[relay]\nreduce = 23\ninhibit = ${offset}\n`)).toEqual([]);
  });
});

describe("the kernel's interface", () => {
  it("is chosen by itself unless it is named", () => {
    const read = (text: string) => parseConfig(`${TRANSFORMER}${text}`, "x.toml").config.gpio.interface;
    expect(read("")).toBeUndefined();
    expect(read('[gpio]\ninterface = "sysfs"\n')).toBe("sysfs");
    expect(() => read('[gpio]\ninterface = "none"\n')).toThrow(/cdev, sysfs/);
  });
});
