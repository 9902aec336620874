// The questions about lines and about what else is fitted, with a scripted person: which lines will do on which board, what is asked
// of whom, and what becomes of each answer.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type DraftKey, draftText } from "../../daemon/setup/draft.ts";
import { askExtras } from "../../daemon/setup/extras.ts";
import { LineBook, openLineBook } from "../../daemon/setup/line-book.ts";
import { askRelay } from "../../daemon/setup/lines.ts";
import type { Person } from "../../daemon/setup/person.ts";
import { HardwareError } from "../../hardware/errors.ts";
import type { Board, LineChip } from "../../hardware/ports.ts";
import { shed } from "../hardware/simulated/shed.ts";
import { DEMO_SPEC } from "../hardware/simulated/wirings.ts";
import { testFolder } from "../support/folder.ts";

/** Takes each answer at its key until one will do; what was said against the others, by key. */
function scripted(answers: Readonly<Record<string, readonly string[]>>) {
  const against: string[] = [];
  const asked: string[] = [];
  const person: Person = {
    present: true,
    ask: async ({ key, fallback, wrong }) => {
      asked.push(key);
      for (const answer of answers[key] ?? [fallback ?? ""]) {
        const fault = await wrong(answer);
        if (fault === null) return answer;
        against.push(typeof fault === "string" ? `${key}: ${fault}` : `${key}: ${fault.expected}, got ${fault.got}`);
      }
      throw new Error(`no answer will do for ${key}: ${against.join("; ")}`);
    },
    done: () => undefined,
    close: () => undefined,
  };
  return { person, against, asked };
}

const chip = (name: string, label: string, lines: number): LineChip => ({ name, label, lines, names: async () => [] });
const PI = [chip("gpiochip0", "pinctrl-bcm2711", 58), chip("gpiochip1", "raspberrypi-exp-gpio", 8)];
const OTHER = [chip("gpiochip0", "209c000.gpio", 32), chip("gpiochip4", "20ac000.gpio", 32)];

function boardWith(chips: readonly LineChip[] | HardwareError): Board {
  const { board } = shed({ spec: DEMO_SPEC });
  return {
    ...board,
    clock: board.clock,
    lineChips: () => (chips instanceof HardwareError ? Promise.reject(chips) : Promise.resolve(chips)),
  };
}

async function answered(answers: Readonly<Record<string, readonly string[]>>, chips: readonly LineChip[] = PI) {
  const { person, against, asked } = scripted(answers);
  const said: string[] = [];
  const say = (text: string): void => void said.push(text);
  const board = boardWith(chips);
  const asking = { board, person, say, lines: await openLineBook(board, person, say) };
  const keys: DraftKey[] = [...(await askRelay(asking))];
  keys.push(...(await askExtras(asking, new Set(keys.map(({ table }) => table)))), ...asking.lines.chipKeys());
  return { keys, against, asked, said: said.join(""), text: draftText({ keys, sensors: [] }) };
}

describe("the chips of lines", () => {
  it("are named with their labels; with a header among them nothing is asked", async () => {
    const { said, asked, text } = await answered({});
    expect(said).toContain("gpiochip0\n  pinctrl-bcm2711, lines 0 to 57, the 40-pin header\n");
    expect(said).toContain("raspberrypi-exp-gpio, lines 0 to 7\n");
    expect(asked).toEqual(["reduce", "inhibit", "extras"]);
    expect(text).toMatch(/\[relay\]\nreduce = "pin 16" .*\ninhibit = "pin 18"\n$/);
  });

  it("without a known header the label is asked, stands once in each table, and pins mean nothing", async () => {
    const { against, text } = await answered(
      {
        gpio_chip: ["4", "20ac000.gpio"],
        reduce: ["pin 16", "32", "11"],
        inhibit: ["12"],
        extras: ["ptt"],
        ptt: ["13"],
      },
      OTHER,
    );
    expect(against).toEqual([
      "gpio_chip: one of 209c000.gpio, 20ac000.gpio",
      "reduce: a line's number or name on 20ac000.gpio, got pin 16, which is the header's",
      expect.stringMatching(/^reduce: a line that this machine has, got .*20ac000\.gpio has lines 0 to 31/),
    ]);
    expect(text).toMatch(/\[relay\]\nreduce = 11 .*\ninhibit = 12\nchip = "20ac000.gpio" .*\n/);
    expect(text).toMatch(/\[ptt\]\nline = 13 .*\nkeyed = "low" .*\nchip = "20ac000.gpio"/);
  });

  it("that cannot be asked are no obstacle: their words are said, and lines are taken as told", async () => {
    const { person } = scripted({});
    const said: string[] = [];
    const error = new HardwareError("PERMISSION", "/dev/gpiochip0");
    const lines = await openLineBook(boardWith(error), person, (text) => said.push(text));
    expect(said.join("")).toContain(`GPIO: ${error.message}. ${error.remedy}`);
    expect(await lines.wrong(["tach", "line"], "pin 11")).toBeNull();
  });
});

describe("lines", () => {
  it.each([
    [
      "pin 7",
      "a line that is low from power-up, one of GPIO9 to GPIO27 but not GPIO14, got pin 7, GPIO4, which is pulled up and would permit power while no program runs",
    ],
    [
      "GPIO8",
      "a line that is low from power-up, one of GPIO9 to GPIO27 but not GPIO14, got pin 24, GPIO8, which is pulled up and would permit power while no program runs",
    ],
    ["pin 6", "a pin that is a GPIO line, got pin 6, ground"],
    ["pin 41", 'a line number from 0 to 1023, a pin such as "pin 16", or a line\'s name such as "GPIO23"'],
    ["GPIO99", /a line that this machine has, got line "GPIO99": the GPIO line does not exist/],
  ])("%s is none for a permit line", async (answer, expected) => {
    const { against } = await answered({ reduce: [answer, "pin 16"] });
    expect(against).toHaveLength(1);
    expect(against[0]).toMatch(expected);
  });

  it("that are given away are refused however they are written", async () => {
    const { against } = await answered({ inhibit: ["GPIO23", "23", "pin 16", "none"] });
    expect(against).toHaveLength(3);
    for (const one of against)
      expect(one).toBe("inhibit: something other than relay.reduce has, got line 23 of the header's chip");
  });

  it("pulled up from power-up will do for an input", async () => {
    expect(await new LineBook(PI, undefined).wrong(["ptt", "line"], "pin 7")).toBeNull();
  });
});

describe("what else is fitted", () => {
  it("is one question, and nobody who answers it with Enter is asked more", async () => {
    expect((await answered({})).asked.slice(-1)).toEqual(["extras"]);
  });

  it("takes names with spaces or commas, and refuses others with what there is", async () => {
    const { asked, against } = await answered({ extras: ["buzer", "buzzer, rig"] });
    expect(against).toEqual(["extras: none, or names out of fan_cut, pulse, ptt, buzzer, rig, mqtt"]);
    expect(asked).toEqual(["reduce", "inhibit", "extras", "buzzer", "rig_host", "rig_port"]);
  });

  it("offers a one-shot only behind permit relays, and leaves out what has no line after all", async () => {
    const { against, text } = await answered({
      reduce: ["none"],
      extras: ["pulse", "buzzer fan_cut"],
      fan_cut: ["none"],
    });
    expect(against).toEqual(["extras: none, or names out of fan_cut, ptt, buzzer, rig, mqtt"]);
    expect(text).toContain('[buzzer]\nline = "pin 12"');
    expect(text).toContain("# No [relay]: Emberwire warns");
    expect(text).not.toMatch(/fan_cut|power_cycle/);
  });

  it.each([
    ["rig_port", "0", "4532", "a whole number from 1 to 65535"],
    ["ptt_keyed", "medium", "high", "one of low, high"],
    ["mqtt_broker", "mqtt://broker.example.org", "mqtts://broker.example.org", "mqtts:// for another machine"],
    ["mqtt_broker", "broker", "mqtts://broker.example.org", "an address such as mqtts://broker.example.org"],
    ["fan_cut", "pin 5", "pin 13", "which is pulled up and would cut the fan off"],
  ])("%s: %s is refused, %s is taken", async (key, wrong, right, words) => {
    const { against } = await answered({ extras: ["rig ptt mqtt fan_cut"], [key]: [wrong, right] });
    expect(against).toHaveLength(1);
    expect(against[0]).toContain(words);
  });

  it("a broker's user and password file come together; a file that is not there is told, and none means no user", async () => {
    const folder = testFolder();
    const none = join(folder, "none");
    const without = await answered({ extras: ["mqtt"], mqtt_user: ["orchard"], mqtt_password_file: [none, ""] });
    expect(without.against[0]).toMatch(/^mqtt_password_file: a file with the secret.*got .*none/);
    expect(without.text).not.toMatch(/^user/m);
    writeFileSync(join(folder, "secret"), "x\n");
    const both = await answered({
      extras: ["mqtt"],
      mqtt_user: ["orchard"],
      mqtt_password_file: [join(folder, "secret")],
    });
    expect(both.text).toMatch(/^user = "orchard" .*\npassword_file = ".*secret"/m);
  });
});
