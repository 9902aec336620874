// A simulated feedpoint as a process, linked to a rigctld: its config, and what its interface tells. Assertions here only wait.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, vi } from "vitest";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import type { RecordPage } from "../../daemon/wire/alarm.ts";
import type { Check } from "../../daemon/wire/check.ts";
import type { Frame } from "../../daemon/wire/frame.ts";
import { testFolder } from "../support/folder.ts";
import { type Daemon, startDaemon } from "../support/told-program.ts";
import { PATIENT, Rigctld } from "./rigctld.ts";

const SPEED = 20;

export function configWith(folder: string, port: number, more = ""): string {
  const file = join(folder, "shack.toml");
  writeFileSync(
    file,
    `${DEMO_CONFIG}\n[ptt]\nline = 22\n\n[alarms]\nrig_link = "2s"\n\n[rig]\nport = ${port}\n${more}`,
  );
  return file;
}

export function started(folder: string, config: string, speed = SPEED): Promise<Daemon> {
  const flags = ["--simulated", "--config", config, "--data", folder, "--listen", "127.0.0.1:0", "--speed", `${speed}`];
  return startDaemon(...flags);
}

async function asked<T>(daemon: Daemon, path: string): Promise<T> {
  const answer = await fetch(new URL(`api/v1/${path}`, daemon.address));
  return (await answer.json()) as T;
}

export const frameOf = async (daemon: Daemon): Promise<Frame> => (await asked<{ frame: Frame }>(daemon, "state")).frame;
export const checkOf = (daemon: Daemon): Promise<Check> => asked<Check>(daemon, "check");
export const tagsOf = async (daemon: Daemon): Promise<readonly string[]> =>
  (await asked<RecordPage>(daemon, "record?lines=200")).lines.map(({ tag }) => tag).reverse();
export const until = (check: () => Promise<void>): Promise<void> => vi.waitFor(check, PATIENT);

/** Once reduced it stays so for longer than a stage has to stand before the rig is touched, also in time that runs fast. */
const LASTING = '[limits]\nreset = "65C"\n';

/** Cores heat slowly: time runs faster while one has to get hot. */
export const POWER_SPEED = 30;

/** A rig at 80 % on 80 m, keyed until the core is hot and the rig's own power has been lowered. */
export async function lowered() {
  const folder = testFolder();
  const rigctld = await Rigctld.start();
  await rigctld.operate({ hertz: 3_650_000, mode: "RTTY", power: 0.8 });
  const config = configWith(folder, rigctld.port, `reduce_to = "20%"\n\n${LASTING}`);
  const daemon = await started(folder, config, POWER_SPEED);
  await until(async () => expect((await frameOf(daemon)).power_stage).toBe("full"));
  await rigctld.operate({ keyed: true });
  await until(async () => expect(await rigctld.power()).toBe(0.2));
  await until(async () => expect((await checkOf(daemon)).rig).toMatchObject({ power_ratio: 0.2, found_ratio: 0.8 }));
  await rigctld.operate({ keyed: false });
  return { folder, rigctld, config, daemon };
}
