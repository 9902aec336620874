// `run` as a shell runs it: it serves, stops cleanly, remembers, and says in one line what stands in its way.

import { existsSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { deflateRawSync } from "node:zlib";
import Database from "better-sqlite3";
import { describe, expect, it, vi } from "vitest";
import type { Frame } from "../../daemon/wire/frame.ts";
import { testFolder } from "../support/folder.ts";
import { freePort } from "../support/free-port.ts";
import { type Daemon, runProgram, startDaemon } from "../support/told-program.ts";

const GOOD = '[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n';

function configIn(folder: string, text: string): string {
  const file = join(folder, "emberwire.toml");
  writeFileSync(file, text);
  return file;
}

/** Once a cycle of the last seconds is complete, which a busy machine may delay. */
const healthy = ({ address }: Daemon): Promise<void> =>
  vi.waitFor(async () => expect((await fetch(`${address}healthz`)).status).toBe(200), {
    timeout: 20_000,
    interval: 100,
  });

const entriesIn = (folder: string): readonly { readonly tag: string }[] => {
  const database = new Database(join(folder, "simulated.db"), { readonly: true });
  const entries = database
    .prepare<[], { tag: string }>(
      "SELECT tag FROM entry JOIN run ON run.id = entry.run WHERE run.source = 'live' ORDER BY entry.id",
    )
    .all();
  database.close();
  return entries;
};

describe("the simulated feedpoint", () => {
  it("serves the state, stops on SIGTERM with status 0, and has it in the record", async () => {
    const folder = testFolder();
    const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0");
    const state = (await (await fetch(`${daemon.address}api/v1/state`)).json()) as {
      readonly about: object;
      readonly frame: { readonly quantities: object; readonly relay_permit: object };
    };
    expect(state.about).toMatchObject({ simulated: true, name: "Orchard gate" });
    expect(Object.keys(state.frame.quantities)).toEqual(
      expect.arrayContaining(["inlet_celsius", "core_celsius", "fan_rpm"]),
    );
    await healthy(daemon);
    expect(await daemon.stop()).toBe(0);
    const tags = entriesIn(folder).map(({ tag }) => tag);
    expect(tags.at(0)).toBe("started");
    expect(tags.at(-1)).toBe("stopped");
  });

  it("keeps simulated rows in a file of their own", async () => {
    const folder = testFolder();
    const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0", "--speed", "60");
    await daemon.stop("SIGINT");
    expect(existsSync(join(folder, "simulated.db"))).toBe(true);
    expect(readdirSync(folder).some((name) => name.startsWith("season"))).toBe(false);
  });

  it("draws what was before a restart", async () => {
    const folder = testFolder();
    const port = await freePort();
    const wallNow = async (address: string): Promise<number> =>
      ((await (await fetch(`${address}api/v1/state`)).json()) as { frame: { wall_seconds: number } }).frame
        .wall_seconds;
    const first = await startDaemon("--data", folder, "--listen", `127.0.0.1:${port}`);
    const before = await wallNow(first.address);
    // As a power cut would: no goodbye, so what counts is what was on the disk. Asking for history puts it there.
    await fetch(`${first.address}api/v1/history`);
    await first.stop("SIGKILL");
    const second = await startDaemon("--data", folder, "--listen", `127.0.0.1:${port}`);
    // Nothing that the second daemon wrote is older than its own first words.
    const until = (await wallNow(second.address)) - 0.5;
    const query = `from=${before - 60}&to=${until}&points=1000&series=core_celsius`;
    const history = (await (await fetch(`${second.address}api/v1/history?${query}`)).json()) as {
      series: { core_celsius: [number, number, number][] };
    };
    const core = history.series.core_celsius;
    expect(core.length).toBeGreaterThan(0);
    expect(core.every(([seconds, low, high]) => seconds >= before - 60 && low > -40 && high >= low)).toBe(true);
    expect(await second.stop()).toBe(0);
  });
});

describe("what stands in the way", () => {
  it("a port in use, a data folder in use: one line with what to do, status 2, and the first goes on", async () => {
    const folder = testFolder();
    const first = await startDaemon("--data", folder, "--listen", "127.0.0.1:0");
    const { host } = new URL(first.address);
    const port = await runProgram("run", "--data", testFolder(), "--listen", host);
    expect(port).toMatchObject({ status: 2, out: "" });
    expect(port.complaints).toHaveLength(1);
    expect(port.complaints[0]).toMatch(/listen: expected a free port .*--listen.*, got a port in use/);
    const data = await runProgram("run", "--data", folder, "--listen", "127.0.0.1:0");
    expect(data.status).toBe(2);
    expect(data.complaints).toHaveLength(1);
    expect(data.complaints[0]).toContain("in use by another emberwire");
    await healthy(first);
    await first.stop();
  });

  it("a log and a checkpoint of a newer program: the daemon does not begin, for it could not read what they tell of a trip", async () => {
    const folder = testFolder();
    const run = ["run", "--data", folder, "--listen", "127.0.0.1:0"];
    await (await startDaemon("--data", folder, "--listen", "127.0.0.1:0")).stop();
    const change = (sql: string): void => {
      const database = new Database(join(folder, "simulated.db"));
      database.exec(sql);
      database.close();
    };
    change("PRAGMA user_version = 999");
    const newer = await runProgram(...run);
    expect(newer.status).toBe(2);
    expect(newer.complaints).toHaveLength(1);
    expect(newer.complaints[0]).toMatch(/log.folder: expected a log of schema \d or older; a newer emberwire wrote it/);
    change(`PRAGMA user_version = 2; DELETE FROM recent; DELETE FROM checkpoint;
      INSERT INTO checkpoint (id, body) VALUES (1, x'${deflateRawSync('{"version":7,"tripped":true}').toString("hex")}')`);
    const remembers = await runProgram(...run);
    expect(remembers.status).toBe(2);
    expect(remembers.complaints).toHaveLength(1);
    expect(remembers.complaints[0]).toMatch(/checkpoint: expected one of an older version; .*, got version 7/);
  });

  it("a log that cannot be read may tell of a trip: the daemon runs, and permits nothing until somebody resets it", async () => {
    const folder = testFolder();
    writeFileSync(join(folder, "simulated.db"), "no database, but something was left here ".repeat(40));
    const daemon = await startDaemon("--data", folder, "--listen", "127.0.0.1:0", "--speed", "60");
    const frame = async () => ((await (await fetch(`${daemon.address}api/v1/state`)).json()) as { frame: Frame }).frame;
    const first = (await frame()).at_seconds;
    await vi.waitFor(async () => expect((await frame()).at_seconds - first).toBeGreaterThan(60), {
      timeout: 20_000,
      interval: 100,
    });
    expect(await frame()).toMatchObject({ power_stage: "inhibited", relay_permit: { reduce: false, inhibit: false } });
    expect((await frame()).reasons.join()).toContain("what the last run left cannot be read");
    await daemon.stop();
  });

  it("a missing bus says what to do, status 1", async () => {
    const folder = testFolder();
    const bus = `${GOOD}[tach]\nfitted = false\n[[sensor]]\nname = "a"\nrole = "inlet"\nchip = "lm75"\nbus = 250\naddress = 0x48\n`;
    const other = bus.slice(bus.indexOf("[[")).replace('"a"', '"b"').replace("inlet", "outlet").replace("0x48", "0x49");
    const told = await runProgram("check", "--data", folder, "--config", configIn(folder, bus + other));
    expect(told.status).toBe(1);
    expect(told.out).toContain("i2c-250: the I2C bus does not exist");
    expect(told.out).toContain("dtparam=i2c_arm=on");
  });

  it.each([
    [["run", "--speed", "0"], /--speed: expected a number from 1 to 3600, got "0"/],
    [["run", "--config", "systemd/emberwire.toml", "--speed", "10"], /--speed: expected --simulated beside it/],
    [["run", "--overview", "--simulated"], /--simulated: expected --overview without it: .*, got both/],
    [["run", "--listen", "nowhere"], /--listen: expected HOST:PORT .*, got "nowhere"/],
    [["run", "--listen", "203.0.113.7:8080"], /listen: expected an address of this machine/],
    [
      ["run", "--config", "/nowhere.toml"],
      /--config: expected a file that can be read, got \/nowhere.toml \(there is none\)/,
    ],
    [["run", "--lisen", "x"], /unknown option '--lisen' .*--listen/],
    [["rum"], /unknown command 'rum' .*run/],
  ])("%j is one line and status 2", async (words, line) => {
    const told = await runProgram(...words);
    expect(told).toMatchObject({ status: 2, out: "" });
    expect(told.complaints).toHaveLength(1);
    expect(told.complaints[0]).toMatch(line);
  });

  it("every problem of a config is a line with its place", async () => {
    const folder = testFolder();
    const file = configIn(folder, `${GOOD}[limits]\ncor = 1\ncore = "hot"\n`);
    const told = await runProgram("run", "--config", file);
    expect(told.status).toBe(2);
    expect(told.complaints.map((line) => line.replace(file, "F")).sort()).toEqual([
      'emberwire: F:6: limits.cor: expected a known key; the nearest is "core", got "cor"',
      'emberwire: F:7: limits.core: expected a temperature such as 30C or 85F, got "hot"',
    ]);
  });
});

describe("help and schema", () => {
  it("every command has an example", async () => {
    const help = await runProgram("--help");
    expect(help.status).toBe(0);
    const commands = [...help.out.matchAll(/^ {2}([a-z-]+) /gm)]
      .map(([, name]) => name!)
      .filter((name) => name !== "help");
    expect(commands).toEqual(expect.arrayContaining(["run", "check", "replay", "loss", "release"]));
    const helps = await Promise.all(commands.map((name) => runProgram(name, "--help")));
    const without = commands.filter((_, index) => !/example/i.test(helps[index]?.out ?? ""));
    expect(without).toEqual([]);
  });

  it("the schema is JSON Schema with every table", async () => {
    const told = await runProgram("run", "--print-config-schema");
    expect(JSON.parse(told.out)).toMatchObject({
      type: "object",
      required: ["transformer"],
      additionalProperties: false,
    });
  });
});
