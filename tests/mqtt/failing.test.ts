// What is told when the line fails: the daemon dies, the state grows old, the password or the authority is wrong, the broker forbids.
// The daemon is a process of its own here, killed as a power cut would.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { register } from "../../daemon/commands/check.ts";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import type { Check } from "../../daemon/wire/check.ts";
import { type DaemonProcess, startProcess } from "../browser/feedpoint.ts";
import { told } from "../commands/told.ts";
import { testFolderPath } from "../support/folder.ts";
import { type Mosquitto, startMosquitto, USER } from "../support/mosquitto.ts";
import { Listener } from "./listener.ts";

const { folder, remove } = testFolderPath();
let broker: Mosquitto;
let listener: Listener;
let running: DaemonProcess | null = null;

beforeAll(async () => {
  broker = await startMosquitto(join(folder, "broker"), { tls: true });
  listener = await Listener.at(broker, "listener");
});
afterAll(async () => {
  await running?.kill();
  await listener?.close();
  await broker?.stop();
  remove();
});

/** A config with this table [mqtt]; `extra` goes to its end. */
function configWith(name: string, extra: string): string {
  const file = join(folder, `${name}.toml`);
  writeFileSync(file, `${DEMO_CONFIG}\n[mqtt]\nid = "${name}"\nexpiry = "5s"\n${extra}`);
  return file;
}
const secured = (caFile: string, passwordFile: string): string =>
  `broker = "mqtts://127.0.0.1:${broker.securePort}"\nca_file = "${caFile}"\nuser = "${USER}"\npassword_file = "${passwordFile}"\n`;
const right = (): string => secured(broker.caFile, broker.passwordFile);

type Availability = { readonly state: string };
const availability = (state: string) =>
  listener.until<Availability>("availability", (message) => message.state === state);
const check = async (): Promise<Check["mqtt"]> =>
  ((await (await fetch(`${running?.address}api/v1/check`)).json()) as Check).mqtt;

/** Once the daemon is through with what a start brings. */
const settled = (): Promise<void> =>
  vi.waitFor(async () => expect(await check()).toMatchObject({ connected: true, record_waiting: 0 }), {
    timeout: 20_000,
    interval: 50,
  });

describe("over TLS, with password", () => {
  const start = async (): Promise<void> => {
    running = await startProcess(join(folder, "data"), 20, 0, configWith("gate", right()));
  };

  it("the feedpoint is online; killed it is lost, started again it is back, stopped it says so", async () => {
    await start();
    await availability("online");
    await running?.kill();
    await availability("lost");
    await start();
    await availability("online");
    await settled();
    await running?.stop();
    await availability("stopped");
  });

  it("its last state is forgotten when its life is over; who it is and that it is away stays", async () => {
    let looks = 0;
    await vi.waitFor(
      async () => {
        looks += 1;
        const late = await Listener.at(broker, `late-${looks}`);
        try {
          await late.until<Availability>("availability", ({ state }) => state === "stopped");
          // Retained messages come in one go: the state would have come with the others.
          expect(late.of("about")).toHaveLength(1);
          expect(late.of("state")).toEqual([]);
        } finally {
          await late.close();
        }
      },
      { timeout: 20_000, interval: 200 },
    );
  });

  it("lines made while broker and then daemon were dead arrive when both are back", async () => {
    await start();
    await availability("online");
    await settled();
    const last = async (): Promise<RecordPage["lines"]> =>
      ((await (await fetch(`${running?.address}api/v1/record?lines=200&kinds=command,stage`)).json()) as RecordPage)
        .lines;
    const before = (await last())[0]?.id ?? 0;
    await broker.kill();
    // The config's own commands make lines of the record without waiting for anything to grow hot.
    const post = (action: object) =>
      fetch(`${running?.address}api/v1/commands`, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ action }),
      });
    expect((await post({ kind: "bypass", seconds: 600, comment: "a test under our eyes" })).status).toBe(200);
    expect((await post({ kind: "end bypass" })).status).toBe(200);
    await vi.waitFor(async () => expect((await check())?.connected).toBe(false), { timeout: 20_000 });
    const made = (await last()).map(({ id }) => id).filter((id) => id > before);
    expect(made.length).toBeGreaterThanOrEqual(2);
    await running?.kill();
    await start();
    await broker.start();
    await vi.waitFor(
      () => {
        const heard = new Set([...listener.record().values()].map(({ id }) => id));
        expect(made.filter((id) => !heard.has(id))).toEqual([]);
      },
      { timeout: 25_000 },
    );
    await running?.stop();
    running = null;
  });
});

const WRONG: readonly (readonly [name: string, table: () => string, words: RegExp])[] = [
  [
    "password",
    () => secured(broker.caFile, wrongPassword()),
    /^it refuses the user or the password$|^it does not permit/,
  ],
  ["authority", () => secured(join(folder, "broker/stranger.pem"), broker.passwordFile), /certificate/],
  ["no-authority", () => right().replace(/ca_file.*\n/, ""), /not signed by a known authority/],
  ["name", () => right().replace("127.0.0.1", "localhost"), /for another host name/],
  ["no-tls-there", () => right().replace(`${broker.securePort}`, `${broker.port}`), /TLS/],
  ["nobody-there", () => 'broker = "mqtt://127.0.0.1:9"\n', /^nothing listens at its address$/],
  ["forbidden", () => `${right()}prefix = "elsewhere"\n`, /^it does not permit this user to do that$/],
];

function wrongPassword(): string {
  const file = join(folder, "wrong");
  writeFileSync(file, "vineyard\n");
  return file;
}

describe("what is wrong is said in words", () => {
  it.each(WRONG)("by `check`: %s", async (name, table, words) => {
    const line = [
      "check",
      "--simulated",
      "--json",
      "--config",
      configWith(name, table()),
      "--data",
      join(folder, name),
    ];
    const { out, status } = await told(register, line);
    const { findings } = JSON.parse(out) as {
      readonly findings: readonly { readonly what: string; readonly says: string }[];
    };
    expect(status).toBe(1);
    expect(findings.find(({ what }) => what === "mqtt")?.says).toMatch(words);
  });

  it("by `check` when all is well, too", async () => {
    const line = ["check", "--simulated", "--config", configWith("well", right()), "--data", join(folder, "well")];
    expect((await told(register, line)).out).toMatch(
      /^ok {4}mqtt \(mqtts:.*\): takes emberwire\/well\/… with MQTT 5 over TLS$/m,
    );
  });

  it.each([WRONG[0]!, WRONG[1]!, WRONG[6]!])(
    "by the running daemon's /api/v1/check, without user, host or file: %s",
    async (name, table, words) => {
      running = await startProcess(join(folder, name), 1, 0, configWith(`run-${name}`, table()));
      await vi.waitFor(async () => expect((await check())?.trouble).toMatch(words), { timeout: 20_000 });
      expect(JSON.stringify(await check())).not.toMatch(/127\.0\.0\.1|gate|orchard|vineyard|pem/);
      await running.stop();
      running = null;
    },
  );
});
