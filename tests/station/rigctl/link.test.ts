// The link against a server that behaves, and one that does everything wrong: no failure leaves the link, no wrong number gets
// through, and when the server behaves again the rig is heard again. Sockets are real, time is the test's.

import type { Socket } from "node:net";
import { afterEach, describe, expect, it } from "vitest";
import type { RigWord } from "../../../daemon/station/rig.ts";
import { RigLink } from "../../../daemon/station/rigctl/link.ts";
import { ManualClock } from "../../support/manual-clock.ts";
import { eventually, POLITE, type Script, ScriptedRig, spoilt } from "../../support/scripted-rig.ts";

const open: { close(): Promise<void> }[] = [];

afterEach(async () => {
  for (const one of open.splice(0).reverse()) await one.close();
});

async function linked(script: Script, fullWatts: number | null = null) {
  const rig = new ScriptedRig(script);
  open.push(rig);
  const clock = new ManualClock();
  const words: RigWord[] = [];
  const link = new RigLink({ server: await rig.listen(), fullWatts, clock, onWord: (word) => words.push(word) });
  open.push(link);
  /** Until the link waits for the next round or the next attempt, moving time on a little at a time. */
  const until = (check: () => void, stepSeconds = 0.05) =>
    eventually(() => {
      try {
        check();
      } catch (error) {
        clock.advance(stepSeconds);
        throw error;
      }
    });
  return { rig, clock, words, link, until };
}

describe("a link to a rig that answers", () => {
  it("brings all it says, one question in flight at a time", async () => {
    const { rig, words, link, until } = await linked(spoilt({}));
    await until(() => expect(words.length).toBeGreaterThan(2));
    expect(words[0]).toMatchObject({
      frequencyHertz: 3.65e6,
      mode: "SSB",
      transmitting: true,
      powerRatio: 0.8,
      meterWatts: 42.5,
      swr: 1.7,
    });
    expect(link.trouble).toBeNull();
    expect(rig.connections).toBe(1);
    expect(rig.mostWaiting).toBe(1);
  });

  it("takes no meter's word while the rig receives, and does not ask for it", async () => {
    const { rig, words, until } = await linked(spoilt({ get_ptt: "get_ptt:\nPTT: 0\nRPRT 0\n" }));
    await until(() => expect(words.length).toBeGreaterThan(0));
    expect(words[0]).toMatchObject({ transmitting: false, meterWatts: 0, swr: null });
    expect(rig.questions.some((question) => question.includes("METER"))).toBe(false);
  });

  it("turns a meter that shows a share into watts only where the full power is known", async () => {
    const missing = { "get_level RFPOWER_METER_WATTS": "get_level: RFPOWER_METER_WATTS\nRPRT -11\n" };
    const known = await linked(spoilt(missing), 100);
    await known.until(() => expect(known.words.length).toBeGreaterThan(3));
    expect(known.words.at(-1)?.meterWatts).toBeCloseTo(42.5);
    // What cannot be answered is asked once, not in each round.
    expect(known.rig.questions.filter((question) => question.endsWith("METER_WATTS"))).toHaveLength(1);
    const unknown = await linked(spoilt(missing));
    await unknown.until(() => expect(unknown.words.length).toBeGreaterThan(0));
    expect(unknown.words[0]?.meterWatts).toBeNull();
  });

  it("names the VFO where the server wants one", async () => {
    const { rig, until } = await linked((question, socket) => {
      const plain = question.replace("currVFO ", "").replace(" currVFO", "");
      if (plain === "chk_vfo") socket.write("ChkVFO: 1\n");
      else socket.write((POLITE[plain] ?? "").replace(":", ": currVFO"));
    });
    await until(() => expect(rig.questions).toContain("get_level currVFO RFPOWER"));
    expect(rig.questions).toContain("get_freq currVFO");
  });
});

const HOSTILE: Readonly<Record<string, Script>> = {
  "a line without end": (_, socket) => socket.write("x".repeat(100_000)),
  "lines without end": (_, socket) => socket.write("get_ptt:\n".repeat(10_000)),
  garbage: (_, socket) => socket.write(Buffer.from([0, 255, 10, 13, 27, 128])),
  "another protocol": (_, socket) => socket.write("SSH-2.0-OpenSSH_9.2\r\n"),
  silence: () => {},
  "half an answer": (question, socket) => socket.write(`${question}:\nFreq`),
  "half an answer and the end": (question, socket) => socket.end(`${question}:\nFreq`),
  "a closed connection": (_, socket) => socket.destroy(),
  "answers to questions of its own": (_, socket) => socket.write("set_level: RFPOWER 1\nRPRT 0\n"),
  "two answers to one question": (question, socket) => {
    const answer = POLITE[question] ?? "";
    socket.write(answer + answer);
  },
  "errors of the rig": (question, socket) =>
    socket.write(question === "chk_vfo" ? "ChkVFO: 0\n" : `${question.replace(" ", ": ")}:\nRPRT -5\n`),
  "errors that nobody knows": (question, socket) =>
    socket.write(question === "chk_vfo" ? "ChkVFO: 0\n" : `${question.replace(" ", ": ")}:\nRPRT -9999\n`),
};

describe("a link to a server that misbehaves", () => {
  it.each(Object.entries(HOSTILE))(
    "with %s hears nothing, says why, and hears the rig when it is well",
    async (_, script) => {
      const { rig, words, link, until } = await linked(script);
      await until(() => expect(rig.questions.length).toBeGreaterThan(1), 0.5);
      await until(() => expect(link.trouble).not.toMatch(/^not connected/), 0.5);
      expect(words).toEqual([]);
      expect(rig.open).toBeLessThanOrEqual(1);
      rig.script = spoilt({});
      await until(() => expect(words.length).toBeGreaterThan(0), 1);
      expect(link.trouble).toBeNull();
    },
  );

  it("that drips one byte at a time is given up at the deadline", async () => {
    const { clock, link, words, until } = await linked((question, socket) => {
      if (question === "chk_vfo") socket.write("ChkVFO: 0\n");
      else drip(socket, `${question}:\n`, clockOf());
    });
    const clockOf = () => clock;
    await until(() => expect(link.trouble).toBe("no answer to get_ptt within 3 s"), 0.2);
    expect(words).toEqual([]);
  });

  it("that says impossible numbers is heard without them", async () => {
    const { words, until } = await linked(
      spoilt({
        get_freq: "get_freq:\nFrequency: nan\nRPRT 0\n",
        "get_level RFPOWER": "get_level: RFPOWER\n7.000000\nRPRT 0\n",
        "get_level RFPOWER_METER_WATTS": "get_level: RFPOWER_METER_WATTS\ninf\nRPRT 0\n",
        "get_level SWR": "get_level: SWR\n-3\nRPRT 0\n",
      }),
    );
    await until(() => expect(words.length).toBeGreaterThan(0));
    expect(words[0]).toMatchObject({
      frequencyHertz: null,
      mode: "SSB",
      transmitting: true,
      powerRatio: null,
      meterWatts: null,
      swr: null,
    });
  });

  it("is asked again after pauses that grow to half a minute", async () => {
    const { rig, clock, link, until } = await linked((_, socket) => socket.destroy());
    const gaps: number[] = [];
    let last = clock.monotonicSeconds();
    for (let seen = 1; seen <= 8; seen += 1) {
      await until(() => expect(rig.connections).toBeGreaterThanOrEqual(seen), 0.25);
      gaps.push(clock.monotonicSeconds() - last);
      last = clock.monotonicSeconds();
    }
    expect(gaps.at(-1)).toBeGreaterThan(25);
    expect(gaps.at(-1)).toBeLessThan(40);
    expect(link.trouble).toBe("the server closed the connection");
  });

  it("ends at once when it is closed, whatever it waits for", async () => {
    const { rig, link, until } = await linked(() => {});
    await until(() => expect(rig.questions).toEqual(["chk_vfo"]));
    await link.close();
    await eventually(() => expect(rig.open).toBe(0));
  });
});

/** A byte every second of the test's clock. */
function drip(socket: Socket, text: string, clock: ManualClock): void {
  if (text === "" || socket.destroyed) return;
  socket.write(text.slice(0, 1));
  clock.after(1, () => drip(socket, text.slice(1), clock));
}
