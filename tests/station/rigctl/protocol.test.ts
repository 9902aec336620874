// The protocol's lines, whole and in pieces, and everything that no rigctld says. Answers are those of rigctld 4.5.4 (Debian 12),
// written down as it sent them.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Answer, AnswerReader, type Question, questionText } from "../../../daemon/station/rigctl/protocol.ts";
import {
  frequencyHertzOf,
  levelOf,
  modeOf,
  swrOf,
  transmittingOf,
  wattsOf,
} from "../../../daemon/station/rigctl/values.ts";

const FREQUENCY: Question = { command: "get_freq", arguments: [] };
const POWER: Question = { command: "get_level", arguments: ["RFPOWER"] };
const said = (question: Question, ...pieces: readonly string[]): Answer | null => {
  const reader = new AnswerReader(question);
  let answer: Answer | null = null;
  for (const piece of pieces) answer = reader.take(Buffer.from(piece, "latin1"));
  return answer;
};

describe("a question", () => {
  it("is one line of the extended form", () => {
    expect(questionText(FREQUENCY)).toBe("+\\get_freq\n");
    expect(questionText({ command: "set_level", arguments: ["currVFO", "RFPOWER", "0.250000"] })).toBe(
      "+\\set_level currVFO RFPOWER 0.250000\n",
    );
  });
});

describe("an answer", () => {
  it.each([
    [FREQUENCY, "get_freq:\nFrequency: 145000000\nRPRT 0\n", ["Frequency: 145000000"], 0],
    [POWER, "get_level: RFPOWER\n0.800000\nRPRT 0\n", ["0.800000"], 0],
    [
      { command: "get_level", arguments: ["currVFO", "RFPOWER"] },
      "get_level: currVFO RFPOWER\n0.3\nRPRT 0\n",
      ["0.3"],
      0,
    ],
    [{ command: "get_level", arguments: ["FOO"] }, "get_level: FOO\nRPRT -1\n", [], -1],
    [{ command: "chk_vfo", arguments: [] }, "ChkVFO: 1\n", ["1"], 0],
  ] as const)("to %o", (question, text, lines, status) => {
    expect(said(question, text)).toEqual({ lines, status });
  });

  it("is the same in whatever pieces it comes", () => {
    const text = "get_freq:\nFrequency: 7030000\nRPRT 0\n";
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: text.length - 1 }), { maxLength: 8 }), (cuts) => {
        const at = [0, ...[...new Set(cuts)].sort((a, b) => a - b), text.length];
        const pieces = at.slice(1).map((end, index) => text.slice(at[index], end));
        expect(said(FREQUENCY, ...pieces)).toEqual({ lines: ["Frequency: 7030000"], status: 0 });
      }),
    );
  });

  it("may come after the status that some versions put behind chk_vfo", () => {
    expect(said(FREQUENCY, "RPRT 0\nget_freq:\nFrequency: 1\nRPRT 0\n")?.status).toBe(0);
  });

  it.each([
    ["belongs to another question", FREQUENCY, "get_mode:\n"],
    ["belongs to another level", POWER, "get_level: SWR\n"],
    ["has no echo", FREQUENCY, "145000000\n"],
    ["has no line end", FREQUENCY, "x".repeat(5000)],
    ["has lines without end", FREQUENCY, `get_freq:\n${"a\n".repeat(40)}`],
    ["is no text", FREQUENCY, "get_freq:\n\u0000\u00ff\n"],
    ["goes on after its end", FREQUENCY, "get_freq:\nFrequency: 1\nRPRT 0\nFrequency: 2\n"],
    ["is a web server's", FREQUENCY, "HTTP/1.1 400 Bad Request\r\n"],
    ["repeats statuses", FREQUENCY, "RPRT 0\nRPRT 0\nRPRT 0\n"],
  ])("is refused when it %s", (_, question, text) => {
    expect(() => said(question, text)).toThrowError();
  });

  it("of random bytes is refused or still unfinished, never taken for one", () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), (bytes) => {
        const reader = new AnswerReader(FREQUENCY);
        let answer: Answer | null = null;
        try {
          answer = reader.take(bytes);
        } catch {
          return;
        }
        expect(answer).toBeNull();
      }),
    );
  });
});

describe("values", () => {
  const answer = (line: string, status = 0): Answer => ({ lines: [line], status });

  it.each(["nan", "NaN", "inf", "-inf", "7.000000", "-0.1", "1.0001", "", "0x1", "1,5", "1e999", "0.5 0.6", "true"])(
    "%s is no level",
    (text) => expect(levelOf(answer(text))).toBeNull(),
  );

  it.each([
    ["0.000000", 0],
    ["1.000000", 1],
    ["2.5e-1", 0.25],
  ])("%s is the level %d", (text, value) => expect(levelOf(answer(text))).toBe(value));

  it("of an answer with an error are none", () => {
    expect(levelOf(answer("0.5", -5))).toBeNull();
    expect(modeOf(answer("Mode: USB", -5))).toBeNull();
    expect(frequencyHertzOf({ lines: [], status: 0 })).toBeNull();
  });

  it("stay within what a rig can say", () => {
    expect(frequencyHertzOf(answer("Frequency: 3650000"))).toBe(3.65e6);
    expect(frequencyHertzOf(answer("Frequency: 0"))).toBeNull();
    expect(frequencyHertzOf(answer("Frequency: -7000000"))).toBeNull();
    expect(wattsOf(answer("45.312500"))).toBe(45.3125);
    expect(wattsOf(answer("1e9"))).toBeNull();
    expect(swrOf(answer("0.000000"))).toBeNull();
    expect(swrOf(answer("1.500000"))).toBe(1.5);
    expect([0, 1, 2, 3].map((value) => transmittingOf(answer(`PTT: ${value}`)))).toEqual([false, true, true, true]);
    expect([4, -1, 0.5].map((value) => transmittingOf(answer(`PTT: ${value}`)))).toEqual([null, null, null]);
  });

  it.each([
    ["Mode: USB", "SSB"],
    ["Mode: LSB", "SSB"],
    ["Mode: CWR", "CW"],
    ["Mode: PKTUSB", "PKTUSB"],
    ["Mode: <script>", null],
    ["Mode: ", null],
    [`Mode: ${"A".repeat(40)}`, null],
  ])("%s is the trade's %s", (line, mode) => expect(modeOf(answer(line))).toBe(mode));
});
