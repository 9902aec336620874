// One daemon and one real broker: the topic tree as it is documented, alarms through a broker that is killed in the middle of them,
// and nobody who could command the feedpoint from there.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { connect } from "mqtt";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import { TOPICS, type TopicName } from "../../daemon/outputs/mqtt/topics.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import type { Check } from "../../daemon/wire/check.ts";
import type { Frame, WireAlarm } from "../../daemon/wire/frame.ts";
import { type ScriptedFeedpoint, startScripted } from "../browser/feedpoint.ts";
import { testFolderPath } from "../support/folder.ts";
import { type Mosquitto, startMosquitto, USER } from "../support/mosquitto.ts";
import { Listener } from "./listener.ts";

const SPEED = 10;
const PREFIX = "emberwire/orchard-gate/";
const { folder, remove } = testFolderPath();
let broker: Mosquitto;
let feedpoint: ScriptedFeedpoint;
let listener: Listener;

beforeAll(async () => {
  broker = await startMosquitto(join(folder, "broker"), { keeps: true });
  const config = join(folder, "emberwire.toml");
  const table = `[mqtt]\nid = "orchard-gate"\nbroker = "mqtt://127.0.0.1:${broker.port}"\nuser = "${USER}"\npassword_file = "${broker.passwordFile}"\n`;
  writeFileSync(config, `${DEMO_CONFIG}\n${table}`);
  listener = await Listener.at(broker, "listener");
  feedpoint = await startScripted(join(folder, "data"), SPEED, 0, undefined, config);
});
afterAll(async () => {
  await feedpoint?.stop();
  await listener?.close();
  await broker?.stop();
  remove();
});

const ask = async <T>(path: string): Promise<T> =>
  (await (await fetch(`${feedpoint.address}api/v1/${path}`)).json()) as T;
const line = async () => (await ask<Check>("check")).mqtt;

/** Every line of the log that is told, oldest first; the made-up season of the demo is not. */
async function logged(): Promise<readonly RecordPage["lines"][number][]> {
  const { lines } = await ask<RecordPage>("record?lines=200&kinds=alarm,stage,command,event,proof%20test");
  return lines.filter(({ by }) => by !== "demo").toReversed();
}

/** Once the broker has taken all that the log holds. */
const allTaken = (): Promise<void> =>
  vi.waitFor(async () => expect(await line()).toMatchObject({ connected: true, record_waiting: 0 }), {
    timeout: 25_000,
    interval: 50,
  });

const raised = (tag: string) =>
  listener.until<{ alarms: WireAlarm[] }>("alarms", ({ alarms }) => alarms.some((alarm) => alarm.tag === tag));

describe("the topic tree", () => {
  it("is what its document says: every message fits its schema, is acknowledged, and says that it is JSON", async () => {
    await listener.until<Frame>("state", ({ power_stage }) => power_stage === "full");
    await allTaken();
    const seen = new Set<string>();
    for (const { topic, text, qos, contentType } of listener.heard) {
      const name = topic.slice(PREFIX.length) as TopicName;
      expect(topic.startsWith(PREFIX)).toBe(true);
      expect(TOPICS[name].schema.safeParse(JSON.parse(text)).error).toBeUndefined();
      expect({ name, qos, contentType }).toEqual({ name, qos: 1, contentType: "application/json" });
      seen.add(name);
    }
    // `check` is sent by the command only.
    expect([...seen].sort()).toEqual(
      Object.keys(TOPICS)
        .filter((name) => name !== "check")
        .sort(),
    );
  });

  it("gives who comes later what is kept, the state with what is left of its life", async () => {
    const late = await Listener.at(broker, "late");
    const kept = Object.entries(TOPICS)
      .filter(([, { retain }]) => retain)
      .map(([name]) => name);
    await vi.waitFor(
      () =>
        expect(
          late.heard
            .filter(({ retained }) => retained)
            .map(({ topic }) => topic.slice(PREFIX.length))
            .sort(),
        ).toEqual(kept.sort()),
      { timeout: 10_000 },
    );
    const [state] = late.of("state");
    expect(state?.expirySeconds).toBeGreaterThan(0);
    expect(state?.expirySeconds).toBeLessThanOrEqual(30);
    expect(late.of("about")[0]?.expirySeconds).toBeUndefined();
    await late.close();
  });
});

describe("alarms", () => {
  it("are told within the cycle, with the stage that they led to", async () => {
    const mend = feedpoint.board.faults.add({
      kind: "fan stall",
      startSeconds: feedpoint.board.elapsedSeconds(),
      endSeconds: null,
    });
    await raised("fan_stall");
    await listener.until<Frame>("state", ({ power_stage }) => power_stage !== "full");
    mend();
    await listener.until<Frame>("state", ({ fan }) => fan === "turning");
  });

  it("survive a broker that is killed while they come and go: every line arrives, in order, none is missing", async () => {
    for (let round = 0; round < 3; round += 1) {
      const part = round === 1 ? ({ kind: "chip silent", part: "inlet" } as const) : ({ kind: "fan stall" } as const);
      const before = (await logged()).at(-1)?.id ?? 0;
      const mend = feedpoint.board.faults.add({
        ...part,
        startSeconds: feedpoint.board.elapsedSeconds(),
        endSeconds: null,
      });
      await broker.kill();
      // The alarm comes and goes while nobody can be told of it.
      await vi.waitFor(
        async () => expect((await logged()).some(({ id, kind }) => id > before && kind === "alarm")).toBe(true),
        { timeout: 20_000 },
      );
      mend();
      await vi.waitFor(async () => expect(await line()).toMatchObject({ connected: false }), { timeout: 20_000 });
      expect((await line())?.trouble).toMatch(/nothing listens|broke the connection/);
      await broker.start();
      await allTaken();
    }
    const log = await logged();
    await vi.waitFor(
      () => {
        const heard = new Set([...listener.record().values()].map(({ id }) => id));
        expect(log.filter(({ id }) => !heard.has(id))).toEqual([]);
      },
      { timeout: 20_000 },
    );
    expect(log.filter(({ kind }) => kind === "alarm").length).toBeGreaterThan(6);
    // In order: a line that comes again comes with all that followed it, never after a younger one of its own batch.
    const ids = listener.of("record").map(({ text }) => (JSON.parse(text) as { id: number }).id);
    const first = ids.filter((id, index) => ids.indexOf(id) === index);
    expect(first).toEqual(first.toSorted((a, b) => a - b));
  });

  it("stand in what is kept as they stand in the feedpoint, after all that", async () => {
    const tags = (alarms: readonly WireAlarm[]): string => alarms.map(({ tag, state }) => `${tag} ${state}`).join();
    // Asked anew each time: an alarm may come or go in between.
    await vi.waitFor(
      async () => {
        const { frame } = await ask<{ frame: Frame }>("state");
        const kept = JSON.parse(listener.of("alarms").at(-1)?.text ?? "null") as {
          readonly alarms: WireAlarm[];
        } | null;
        expect(tags(kept?.alarms ?? [])).toBe(tags(frame.alarms));
        expect(frame.alarms).not.toEqual([]);
      },
      { timeout: 25_000, interval: 50 },
    );
  });
});

describe("a broker that hangs", () => {
  it("costs one state: what comes afterwards is new, not what piled up", async () => {
    broker.process().kill("SIGSTOP");
    const { frame: before } = await ask<{ frame: Frame }>("state");
    await vi.waitFor(
      async () => {
        const { frame } = await ask<{ frame: Frame }>("state");
        expect(frame.at_seconds).toBeGreaterThan(before.at_seconds + 60);
      },
      { timeout: 20_000, interval: 100 },
    );
    const heardBefore = listener.of("state").length;
    const { frame: then } = await ask<{ frame: Frame }>("state");
    broker.process().kill("SIGCONT");
    await listener.until<Frame>("state", ({ at_seconds }) => at_seconds > then.at_seconds);
    const old = listener
      .of("state")
      .slice(heardBefore)
      .filter(({ text }) => (JSON.parse(text) as Frame).at_seconds <= then.at_seconds);
    // One was under way when it hung, one may have waited.
    expect(old.length).toBeLessThanOrEqual(2);
  });
});

describe("the way back", () => {
  it("does not exist: the feedpoint subscribes to nothing, and what strangers publish changes nothing", async () => {
    const stranger = connect({
      host: "127.0.0.1",
      port: broker.port,
      protocolVersion: 5,
      username: USER,
      password: "orchard",
    });
    const before = await logged();
    const { frame: was } = await ask<{ frame: Frame }>("state");
    const command = JSON.stringify({ kind: "bypass", seconds: 600, action: { kind: "reset" } });
    for (const name of ["command", "commands", "set", "state", "alarms", "check", "reset", "bypass"]) {
      await stranger.publishAsync(`${PREFIX}${name}`, command, { qos: 1 });
    }
    await vi.waitFor(
      async () => expect((await ask<{ frame: Frame }>("state")).frame.at_seconds).toBeGreaterThan(was.at_seconds + 30),
      { timeout: 20_000 },
    );
    await stranger.endAsync();
    expect((await logged()).filter(({ kind, id }) => kind === "command" && id > (before.at(-1)?.id ?? 0))).toEqual([]);
    expect((await ask<{ frame: Frame }>("state")).frame.bypassed_until_seconds).toBeNull();
    // mosquitto's log names every client that subscribes ("Received SUBSCRIBE from ID").
    expect(broker.log()).toContain("Received SUBSCRIBE from listener");
    expect(broker.log()).not.toContain("Received SUBSCRIBE from emberwire-");
  });
});
