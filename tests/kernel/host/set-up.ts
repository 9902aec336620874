// The feedpoint set up inside the guest as a person would: `init` with answers against the real buses and lines, `check` on what it
// wrote, and `check` on a config that is wrong in three ways. It judges nothing.

import type { Finding } from "../../../daemon/checkup/finding.ts";
import type { Guest } from "./guest.ts";
import { CHIPS, GPIO_LABEL, I2C_BUS, NOWHERE, PINS, STRANGER } from "./wiring.ts";

export const CONFIG_PATH = "/etc/emberwire/emberwire.toml";

/** What an emulated processor may take, in host seconds; no figure under test. */
const DEADLINE_SECONDS = 150;

const FOLDER = "/usr/lib/emberwire/dist";
const PROGRAM = `UV_USE_IO_URING=0 node ${FOLDER}/daemon/main.js`;
const WRONG_PATH = "/tmp/wrong.toml";
const hex = (address: number): string => `0x${address.toString(16)}`;

/** The kernel's own driver holds the wall's chip; its file is the one thing of it that a config can name. */
export const WALL_FILE = `/sys/bus/i2c/devices/${I2C_BUS}-00${CHIPS.wall.address.toString(16)}/hwmon/hwmon*/temp1_input`;

const ANSWERS = `inlet = "i2c-${I2C_BUS} ${hex(CHIPS.inlet.address)}"
outlet = "i2c-${I2C_BUS} ${hex(CHIPS.outlet.address)}"
"${WALL_FILE}" = "wall"
gpio_chip = "${GPIO_LABEL}"
tach = ${PINS.tach}
reduce = ${PINS.reduce}
inhibit = ${PINS.inhibit}
mix = "43"
toroids = 3
primary_turns = 3
name = "Guest"
`;

export const WRONG_BUS = I2C_BUS + 1;

/** The inlet on another bus, the outlet where nothing is, the wall on a chip that is not what it says. */
const WRONG_CONFIG = `[transformer]
mix = "43"
toroids = 3
primary_turns = 3
[tach]
fitted = false
[log]
folder = "/tmp/elsewhere"
${[
  ["inlet", "lm75", WRONG_BUS, CHIPS.inlet.address],
  ["outlet", "lm75", I2C_BUS, NOWHERE.outlet],
  ["wall", "tmp117", I2C_BUS, STRANGER.address],
]
  .map(
    ([role, chip, bus, address]) =>
      `[[sensor]]\nname = "${role}"\nrole = "${role}"\nchip = "${chip}"\nbus = ${bus}\naddress = ${address}\n`,
  )
  .join("")}`;

const MOST_CHECKS = 3;

export type Checked = { readonly good: boolean; readonly findings: readonly Finding[] };

export type SetUp = {
  /** All that `init` said. */
  readonly said: string;
  readonly config: string;
  /** Of the config that `init` wrote. */
  readonly checked: Checked;
  /** Of the wrong one. */
  readonly wrong: Checked;
};

/** Leaves the config behind. Rejects with the guest's words when `init` refuses. */
export async function setUp(guest: Guest): Promise<SetUp> {
  const { shell } = guest;
  await guest.write("/tmp/answers.toml", ANSWERS);
  await guest.write(WRONG_PATH, WRONG_CONFIG);
  const said = await shell.run(
    `mkdir -p /etc/emberwire; ${PROGRAM} init --answers /tmp/answers.toml --config ${CONFIG_PATH}`,
    DEADLINE_SECONDS,
  );
  const config = await shell.run(`cat ${CONFIG_PATH}`);
  let checks = await check();
  // A host with much else to do sends no even pulses.
  for (let tries = 1; tries < MOST_CHECKS && uneven(checks[0]); tries += 1) checks = await check();
  const [checked, wrong] = checks;
  return { said, config, checked, wrong };

  async function check(): Promise<readonly [Checked, Checked]> {
    const line = `UV_USE_IO_URING=0 node ${FOLDER}/tests/kernel/inside/checks.js ${CONFIG_PATH} ${WRONG_PATH} 2>&1`;
    const { output } = await shell.try(line, DEADLINE_SECONDS);
    const [first, second, ...others] = output.trim().split("\n");
    if (first?.startsWith("{") !== true || second === undefined || others.length > 0) throw new Error(output);
    return [JSON.parse(first) as Checked, JSON.parse(second) as Checked];
  }
}

const uneven = ({ findings }: Checked): boolean =>
  findings.some(({ what, verdict }) => what === "tachometer" && verdict !== "good");
