// The whole road: the fan of a running feedpoint stalls, and letters arrive at a real mail server and a real web server, again and
// again until somebody acknowledges. Heartbeat, service thread, planner, couriers and servers are the real ones.

import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { programFrom } from "../../../daemon/commands/flags.ts";
import { parseConfig } from "../../../daemon/config/parse.ts";
import { DEMO_CONFIG } from "../../../daemon/demo.ts";
import { type RunningFeedpoint, startFeedpoint } from "../../../daemon/feedpoint.ts";
import { openSimulated } from "../../../daemon/open-simulated.ts";
import type { ChannelHealth } from "../../../daemon/outputs/notices/courier.ts";
import type { Letter } from "../../../daemon/outputs/notices/notice.ts";
import { signBody } from "../../../daemon/outputs/notices/webhook.ts";
import type { Check } from "../../../daemon/wire/check.ts";
import { systemClock } from "../../../hardware/clock.ts";
import type { SimulatedBoard } from "../../../hardware/simulated/board.ts";
import { testFolderPath } from "../../support/folder.ts";
import { type HookBox, hookBox, type MailBox, mailBox } from "../../support/letter-boxes.ts";

const PATIENT = { timeout: 20_000, interval: 50 };
const SPEED = 5;

type Alarm = { readonly tag: string; readonly state: string };
type State = {
  readonly frame: { readonly at_seconds: number; readonly alarms: readonly Alarm[] };
  readonly notices: readonly ChannelHealth[];
};

const { folder, remove } = testFolderPath();
let mail: MailBox;
let hook: HookBox;
let board: SimulatedBoard;
let running: RunningFeedpoint;

beforeAll(async () => {
  mail = await mailBox("gate", "apple");
  hook = await hookBox();
  writeFileSync(join(folder, "mail-password"), "apple\n");
  writeFileSync(join(folder, "hook-secret"), "orchard\n");
  const read = parseConfig(
    `${DEMO_CONFIG}
[notices]
lowest = "high"
repeat = "1s"
letters_per_hour = 100
[notices.email]
host = "127.0.0.1"
port = ${mail.port}
unencrypted = true
user = "gate"
password_file = "${folder}/mail-password"
from = "emberwire@example.org"
to = ["operator@example.org"]
[notices.webhook]
url = "${hook.url}"
secret_file = "${folder}/hook-secret"
`,
    "notices.toml",
  );
  const clock = await systemClock();
  running = await startFeedpoint({
    read,
    program: programFrom(read),
    simulated: true,
    speed: SPEED,
    listen: { host: "127.0.0.1", port: 0 },
    folder,
    clock,
    serviceEntry: pathToFileURL(resolve("dist/daemon/service.js")),
    pages: resolve("dist/web"),
    open: async () => {
      const opened = await openSimulated(read, SPEED, clock);
      board = opened.board;
      return opened;
    },
    environment: {},
  });
}, 60_000);

afterAll(async () => {
  await running?.stop();
  await mail?.close();
  await hook?.close();
  remove();
});

async function state(): Promise<State> {
  const response = await fetch(`${running.address}api/v1/state`, { signal: AbortSignal.timeout(10_000) });
  return (await response.json()) as State;
}

async function post(path: string, body: object): Promise<number> {
  const response = await fetch(`${running.address}api/v1/${path}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(10_000),
  });
  await response.arrayBuffer();
  return response.status;
}

const letters = (): readonly Letter[] => hook.posts.map(({ body }) => JSON.parse(body) as Letter);
const told = (tag: string, kind: string): number =>
  letters().filter(({ notices }) => notices.some((notice) => notice.tag === tag && notice.kind === kind)).length;

describe("a fan that stalls", () => {
  it("is told by mail and by webhook, signed", async () => {
    await vi.waitFor(async () => expect((await state()).frame.at_seconds).toBeGreaterThan(125), PATIENT);
    board.faults.add({ kind: "fan stall", startSeconds: board.elapsedSeconds() + 1, endSeconds: null });
    await vi.waitFor(() => {
      expect(told("fan_stall", "raised")).toBe(1);
      expect(mail.mails.some((text) => /^Subject: \[simulated\] Orchard gate: /m.test(text))).toBe(true);
      expect(mail.mails.some((text) => text.includes("high fan_stall, raised: no pulse"))).toBe(true);
    }, PATIENT);
    for (const { body, signature } of hook.posts) expect(signature).toBe(signBody("orchard", body));
    expect(told("POWER_STAGE", "stage")).toBeGreaterThan(0);
  });

  it("is told again until it is acknowledged, and then no more", async () => {
    await vi.waitFor(() => expect(told("fan_stall", "still unacknowledged")).toBeGreaterThan(1), PATIENT);
    const { frame } = await state();
    for (const { tag } of frame.alarms)
      expect(await post("commands", { action: { kind: "acknowledge", tag } })).toBe(200);
    await vi.waitFor(async () => {
      const after = await state();
      expect(after.frame.alarms.find(({ tag }) => tag === "fan_stall")?.state).toBe("acknowledged");
      expect(after.notices.map(({ waiting }) => waiting)).toEqual([0, 0]);
    }, PATIENT);
    const count = told("fan_stall", "still unacknowledged");
    const { at_seconds: acknowledged } = (await state()).frame;
    // Four times as long as it would take to be told again.
    await vi.waitFor(
      async () => expect((await state()).frame.at_seconds - acknowledged).toBeGreaterThan(4 * SPEED),
      PATIENT,
    );
    expect(told("fan_stall", "still unacknowledged")).toBe(count);
  });
});

describe("the state of the notices", () => {
  it("names each channel and when it last delivered, without a secret", async () => {
    const { notices } = await state();
    expect(notices.map(({ name }) => name)).toEqual(["e-mail (1 address)", "webhook"]);
    expect(
      notices.every(({ failures, lastDeliveredAtSeconds }) => failures === 0 && lastDeliveredAtSeconds !== null),
    ).toBe(true);
    expect(JSON.stringify(notices)).not.toMatch(/apple|orchard|operator@/);
  });

  it("stands in the answer for the view Check, without addresses", async () => {
    const response = await fetch(`${running.address}api/v1/check`, { signal: AbortSignal.timeout(10_000) });
    const { notices } = (await response.json()) as Check;
    expect(notices.map(({ name, failures }) => [name, failures])).toEqual([
      ["e-mail (1 address)", 0],
      ["webhook", 0],
    ]);
    expect(notices.every(({ delivered_seconds_ago: ago }) => ago !== null && ago >= 0)).toBe(true);
  });

  it("a test goes over every channel", async () => {
    expect(await post("notices/test", {})).toBe(202);
    await vi.waitFor(() => {
      expect(told("TEST", "test")).toBe(1);
      expect(
        mail.mails.some((text) => /^Subject: \[simulated\] Orchard gate: this is a test of the notices\r$/m.test(text)),
      ).toBe(true);
    }, PATIENT);
  });

  it("shows a channel that fails with its own words, keeps the letter, and enters it into the record", async () => {
    await hook.close();
    expect(await post("notices/test", {})).toBe(202);
    await vi.waitFor(async () => {
      const [email, webhook] = (await state()).notices;
      expect(email).toMatchObject({ failures: 0, lastError: null });
      // It is tried again and again, and meanwhile there may be more to tell.
      expect(webhook?.failures).toBeGreaterThanOrEqual(1);
      expect(webhook?.waiting).toBeGreaterThanOrEqual(1);
      expect(webhook?.lastError).toMatch(/./);
    }, PATIENT);
    const entries = async (): Promise<string> => {
      const { openReadOnly } = await import("../../../daemon/season/connection.ts");
      const database = openReadOnly(running.logFile);
      const texts = database.prepare<[], string>("SELECT tag || ' ' || text FROM entry").pluck().all();
      database.close();
      return texts.join("\n");
    };
    await vi.waitFor(async () => expect(await entries()).toMatch(/^notices_fail webhook: /m), PATIENT);
  });
});
