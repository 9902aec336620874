// The installed unit under a real systemd on a stock Debian kernel, with real character devices: lines of a GPIO chip, an I2C bus.
// The sandbox is the unit's own; nothing of it is set aside for the test. The thermometers are registers without a sensor
// (i2c-stub), and the box has no fan with a tach: the chip of the lines has no interrupts.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, inject, it } from "vitest";
import { until } from "../kernel/host/deadline.ts";
import { archivesOf, CleanRoot } from "./clean-root.ts";
import { makeDisk } from "./guest/disk.ts";
import { Machine } from "./guest/machine.ts";
import { PINS_LABEL } from "./guest/pins.ts";

const RELAY = { reduce: 2, inhibit: 3 };
const SENSORS = { inlet: 0x48, outlet: 0x49 };
/** This one has a driver of the kernel's: the daemon reads its file. */
const WALL = 0x4a;
const WALL_DEVICE = "/sys/bus/i2c/devices/0-004a";

/** Where the links outward go, by name. */
const OUTWARD = { rig: 4532, mqtt: 1883 };
const HEARD = "/tmp/heard";
const LISTENER = `for (const port of [${Object.values(OUTWARD).join(",")}]) require("node:net").createServer(() => require("node:fs").appendFileSync("${HEARD}", port + "\\n")).listen(port)`;

const CONFIG = [
  '[feedpoint]\nname = "Guest"\n[transformer]\nmix = "43"\ntoroids = 3\nprimary_turns = 3\n',
  ...Object.entries(SENSORS).map(
    ([role, address]) =>
      `[[sensor]]\nname = "${role}"\nrole = "${role}"\nchip = "lm75"\nbus = 0\naddress = ${address}\n`,
  ),
  `[[sensor]]\nname = "wall"\nrole = "wall"\nhwmon = "${WALL_DEVICE}/hwmon/hwmon*/temp1_input"\n`,
  "[tach]\nfitted = false\n",
  `[relay]\nreduce = ${RELAY.reduce}\ninhibit = ${RELAY.inhibit}\nchip = "${PINS_LABEL}"\n`,
  `[rig]\nhost = "localhost"\nport = ${OUTWARD.rig}\n[mqtt]\nbroker = "mqtt://localhost:${OUTWARD.mqtt}"\n`,
].join("\n");

/**
 * An LM75 as bytes of i2c-stub, whose block reads take one byte of each register in turn: 25 °C, awake, hysteresis 75 °C and a
 * little, limit 80 °C.
 */
const LM75 = [25, 0, 75, 80, 0];

const stateRequest = [
  "exec 3<>/dev/tcp/127.0.0.1/8373",
  'printf "GET /api/v1/state.csv?fields=wall_celsius HTTP/1.0\\r\\nHost: 127.0.0.1:8373\\r\\n\\r\\n" >&3',
  "cat <&3",
].join("; ");

const console: string[] = [];
let folder: string;
let machine: Machine;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "emberwire-guest-"));
  const root = await CleanRoot.unpack(inject("cache"), "service");
  const disk = await makeDisk(
    root,
    archivesOf(inject("cache"), "service"),
    folder,
    inject("packageFile"),
    CONFIG,
  ).finally(() => root.remove());
  machine = await Machine.boot(disk, folder, (text) => console.push(text)).catch((error: Error) => {
    throw new Error(`${error.message}\n${console.join("").slice(-2000)}`, { cause: error });
  });
  await until(60, "the bus", async () => ((await machine.run("ls /dev/i2c-0")) === "/dev/i2c-0\n" ? true : undefined));
  for (const address of [...Object.values(SENSORS), WALL])
    for (const [register, byte] of LM75.entries()) await machine.run(`i2cset -y 0 ${address} ${register} ${byte} b`);
  await machine.run(`modprobe lm75; echo lm75 ${WALL} > ${WALL_DEVICE.replace("0-004a", "i2c-0")}/new_device`);
  await machine.run(`node -e '${LISTENER}' > /dev/null 2>&1 & echo`);
});

afterAll(async () => {
  await machine?.stop();
  await rm(folder, { recursive: true, force: true });
});

/** Waits until both permit lines are driven to a level. */
async function lines(isHigh: boolean, what: string, seconds: number): Promise<void> {
  await until(seconds, what, async () => {
    const seen = await Promise.all(Object.values(RELAY).map((offset) => machine.pins.line(offset)));
    return seen.every((line) => line.isOutput && line.isHigh === isHigh) || undefined;
  });
}

/** Waits for another daemon than `than` that permits power; its process id. */
async function permitting(than: string): Promise<string> {
  const pid = await until(
    90,
    "a daemon that permits power",
    async () => {
      const { MainPID, SubState, StatusText } = await shown("MainPID", "SubState", "StatusText");
      const permits = SubState === "running" && /^full, core at most/.test(StatusText ?? "");
      return permits && MainPID !== than ? MainPID : undefined;
    },
    500,
  );
  await lines(true, "permitted lines", 10);
  return pid;
}

/** Properties of the unit, as systemctl shows them. */
async function shown(...names: readonly string[]): Promise<Readonly<Record<string, string>>> {
  const text = await machine.run(`systemctl show emberwire -p ${names.join(",")}`);
  return Object.fromEntries([...text.matchAll(/^(\w+)=(.*)$/gm)].map(([, name, value]) => [name, value]));
}

describe("the unit under systemd", () => {
  it("does not start without a configuration", async () => {
    const said = await machine.run(
      "cd /etc/emberwire; mv emberwire.toml away; systemctl start emberwire; mv away emberwire.toml; systemctl is-active emberwire",
    );
    expect(said).toBe("inactive\n");
  });

  it("gets ready after a complete cycle, on its real buses and lines", async () => {
    expect(await machine.run("systemctl enable --now emberwire && echo started")).toMatch(/started\n$/);
    const { NRestarts, MemoryMax } = await shown("NRestarts", "MemoryMax");
    expect(NRestarts).toBe("0");
    expect(MemoryMax).toBe(String(400 * 1024 * 1024));
    await permitting("0");
    // It permits, so every part was read. A slow host may have made one late; none was refused or missing.
    const journal = await machine.run("journalctl -u emberwire -o cat --no-pager");
    expect(journal).not.toMatch(/may not open|does not exist|holds the|relay: |not be written|EACCES|EPERM/);
  });

  it("reads the kernel's own drivers, and reaches other programs by name, from within its sandbox", async () => {
    const state = await machine.run(`bash -c '${stateRequest}'`);
    expect(state).toMatch(/^25(\.0*)?\r?$/m);
    await until(60, "both links", async () => {
      const heard = new Set((await machine.run(`cat ${HEARD}`)).trim().split("\n"));
      return Object.values(OUTWARD).every((port) => heard.has(String(port))) || undefined;
    });
  });

  it("is judged by systemd on the spot as it is from its file", async () => {
    const said = await machine.run("systemd-analyze security --no-pager emberwire | tail -1");
    expect(Number(/: ([\d.]+) /.exec(said)?.[1])).toBeLessThanOrEqual(2.0);
  });

  it("keeps its season in the state folder, closed to others", async () => {
    expect(await machine.run("stat -c '%a %U' /var/lib/emberwire /var/lib/emberwire/season.db")).toBe(
      "750 emberwire\n600 emberwire\n",
    );
  });

  it("releases the lines when it stands still: ended by the watchdog, started again, and permitted again", async () => {
    const { MainPID } = await shown("MainPID");
    await machine.run(`kill -STOP ${MainPID}`);
    await lines(false, "released lines", 30);
    await permitting(MainPID!);
    const { NRestarts } = await shown("NRestarts");
    expect(NRestarts).toBe("1");
    expect(await machine.run("journalctl -u emberwire -o cat --no-pager")).toMatch(/Failed with result 'watchdog'/);
  });

  it("releases the lines when it is killed outright, starts again, and permits again", async () => {
    const { MainPID } = await shown("MainPID");
    await machine.run(`kill -KILL ${MainPID}`);
    await lines(false, "released lines", 30);
    await permitting(MainPID!);
  });

  it("stops when the package is removed, with the lines released, nothing enabled, and the season kept", async () => {
    await machine.run("dpkg --remove emberwire", 120);
    await lines(false, "released lines", 10);
    const left = await machine.run("systemctl is-active emberwire; ls /etc/systemd/system/multi-user.target.wants");
    expect(left).toMatch(/^inactive\n/);
    expect(left.slice("inactive\n".length)).not.toMatch(/emberwire/);
    expect(await machine.run("ls /var/lib/emberwire")).toMatch(/season\.db/);
  });
});
