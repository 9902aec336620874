// A crowd of feedpoints in a process of its own, each with the daemon's own outlet and a line of its own to the broker, each telling a
// state once a second. Run as a program: PORT PASSWORD-FILE COUNT; it says `ready` when all are connected.

import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { frameOf } from "../../daemon/outputs/frame.ts";
import { MqttOutlet } from "../../daemon/outputs/mqtt/outlet.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { pause, systemClock } from "../../hardware/clock.ts";
import { plainBeat } from "./beat.ts";
import { USER } from "./mosquitto.ts";

const NOTHING = { after: () => [], recent: () => [], newest: () => 0, count: () => 0 };

/** Number `index` of the crowd at its n-th second: most are calm, every seventh heats, every fiftieth is inhibited with an alarm. */
function crowdFrame(index: number, second: number, wallSeconds: number): Frame {
  const core = 55 + ((index * 7 + second) % 20);
  const frame = frameOf({ ...plainBeat(second, core), band: "40 m", wallSeconds });
  const calm: Frame = { ...frame, headroom: { kind: "levels off", level_celsius: core + 8 } };
  if (index % 50 === 3) {
    const reasons = ["the upper bound reached the limit: 112.0 °C at or above 110 °C"];
    const lines = { reduce: false, inhibit: false };
    const alarm = {
      tag: "core_upper_trip",
      state: "latched unacknowledged",
      priority: "high",
      text: "upper bound 112.0 °C",
      since_seconds: 1,
      until_seconds: null,
    } as const;
    return { ...calm, power_stage: "inhibited", reasons, relay_permit: lines, relay_readback: lines, alarms: [alarm] };
  }
  return index % 7 === 2 ? { ...frame, headroom: { kind: "reaches limit", seconds: 300 + (second % 60) } } : calm;
}

async function main(port: number, passwordFile: string, count: number): Promise<void> {
  const clock = await systemClock();
  const password = readFileSync(passwordFile, "utf8").trim();
  const line = { host: "127.0.0.1", port, tls: false, ca: null, user: USER, password };
  const outlets = Array.from({ length: count }, (_, index) => {
    const id = `gate-${String(index).padStart(3, "0")}`;
    return new MqttOutlet({
      settings: {
        broker: { ...line, clientId: `emberwire-${id}` },
        prefix: "emberwire",
        id,
        page: `http://127.0.0.1:${20_000 + index}/`,
        everySeconds: 1,
        expirySeconds: 30,
        bookmarkFile: join(dirname(passwordFile), `crowd-${id}.json`),
      },
      about: {
        name: `Gate ${index}`,
        simulated: true,
        speed: 1,
        version: "0.0.0",
        boot_id: "crowd",
        limit_celsius: 110,
        reduce_celsius: 100,
        toroids: 3,
        fan_nominal_rpm: 11_000,
      },
      clock,
      record: NOTHING,
      onChange: () => undefined,
    });
  });
  const beat = (index: number, second: number): void => {
    outlets[index]?.take(crowdFrame(index, second, clock.wallSeconds()));
    clock.after(1, () => beat(index, second + 1));
  };
  // Each begins at its own place within the second, as machines that know nothing of each other do.
  for (let index = 0; index < count; index += 1) clock.after(index / count, () => beat(index, 1));
  while (outlets.some((outlet) => !outlet.health().connected)) await pause(clock, 0.05);
  process.stdout.write("ready\n");
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  const [port, passwordFile, count] = process.argv.slice(2);
  await main(Number(port), passwordFile ?? "", Number(count));
}
