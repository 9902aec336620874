// Both of the kernel's GPIO interfaces on a stock kernel: the board's contract, edges at the speeds of real fans, and what
// becomes of an energised line whose process dies. The program that does it runs inside the guest.

import { afterAll, beforeAll, describe, expect, inject, it } from "vitest";
import { FLAG, IOCTL, MOST_EVENTS, SIZE } from "../../hardware/gpio/uapi.ts";
import { exec } from "../../systemd/package/exec.ts";
import { BOARD_CONTRACT } from "../contract/board.ts";
import { until } from "./host/deadline.ts";
import { Guest } from "./host/guest.ts";
import { Outside } from "./host/outside.ts";
import { CHIPS, GPIO_LABEL, PINS, PULSES_PER_REVOLUTION } from "./host/wiring.ts";
import type { Outcome, Train } from "./inside/lines.ts";

const PROGRAM = "/usr/lib/emberwire/dist/tests/kernel/inside/lines.js";
const RELEASE = "/bin/sh /usr/lib/emberwire/systemd/release-lines.sh /tmp/outputs";
const RUN_SECONDS = 150;

let guest: Guest;
let outside: Outside;
let outcomes: readonly Outcome[];

const say = (line: string): void => void process.stdout.write(`guest: ${line}\n`);
const level = () => guest.board.qtest.level(PINS.reduce);

/** Starts the program and waits until it holds a line, or ended before. */
async function runInside(): Promise<readonly Outcome[]> {
  const start = `UV_USE_IO_URING=0 node ${PROGRAM} ${outside.place}`;
  await guest.shell.run(
    `(${start} > /tmp/outcomes 2> /tmp/errors; echo "status $?" >> /tmp/errors) > /dev/null 2>&1 &`,
  );
  await until(
    RUN_SECONDS,
    "the program's end",
    async () => {
      const { output } = await guest.shell.try("tail -n 1 /tmp/outcomes; cat /tmp/errors");
      return /"kind":"held"|status \d+/.test(output) ? true : undefined;
    },
    500,
  ).catch(async (error: Error) => {
    throw new Error(
      `${error.message}\n${await guest.shell.run("cat /tmp/outcomes /tmp/errors")}\n${await guest.story()}`,
    );
  });
  const { output } = await guest.shell.try("cat /tmp/outcomes; cat /tmp/errors >&2");
  const lines = output.split("\n").filter((line) => line.startsWith("{"));
  const found = lines.map((line) => JSON.parse(line) as Outcome);
  if (!found.some(({ kind }) => kind === "held")) throw new Error(`the program ended early:\n${output}`);
  return found;
}

const errorOf = (via: string, name: string) =>
  outcomes.flatMap((found) =>
    found.kind === "clause" && found.via === via && found.name === name ? [found.error] : [],
  );

function trainOf(via: string, hertz: number): Train {
  for (const found of outcomes) {
    if (found.kind === "train" && found.via === via && found.hertz === hertz) return found.train;
  }
  throw new Error(`no train of ${hertz} Hz through ${via}`);
}

beforeAll(async () => {
  guest = await Guest.boot(inject("guestImage"));
  for (const chip of Object.values(CHIPS)) await guest.board.setTemperature(chip.id, 25);
  outside = await Outside.open(guest);
  outcomes = await runInside();
});

afterAll(async () => {
  outside?.close();
  await guest?.stop();
});

describe("the character device's structures", () => {
  // include/uapi/linux/gpio.h of the cross compiler's C library, on 32 bits, and of this machine's, on 64.
  it.each(["arm-linux-gnueabihf-gcc", "gcc"])("are those of the kernel's own header: %s", async (compiler) => {
    const same = (left: string, right: number): string => `_Static_assert(${left} == ${right}u, "${left}");`;
    const source = [
      "#include <stddef.h>",
      "#include <linux/gpio.h>",
      same("GPIO_GET_CHIPINFO_IOCTL", IOCTL.GET_CHIPINFO),
      same("GPIO_V2_GET_LINEINFO_IOCTL", IOCTL.GET_LINEINFO),
      same("GPIO_V2_GET_LINE_IOCTL", IOCTL.GET_LINE),
      same("GPIO_V2_LINE_SET_CONFIG_IOCTL", IOCTL.LINE_SET_CONFIG),
      same("GPIO_V2_LINE_GET_VALUES_IOCTL", IOCTL.LINE_GET_VALUES),
      same("GPIO_V2_LINE_SET_VALUES_IOCTL", IOCTL.LINE_SET_VALUES),
      ...(
        [
          "USED",
          "ACTIVE_LOW",
          "INPUT",
          "OUTPUT",
          "EDGE_FALLING",
          "BIAS_PULL_UP",
          "BIAS_PULL_DOWN",
          "BIAS_DISABLED",
        ] as const
      ).map((flag) => same(`GPIO_V2_LINE_FLAG_${flag}`, FLAG[flag])),
      same("sizeof(struct gpiochip_info)", SIZE.chipInfo),
      same("sizeof(struct gpio_v2_line_info)", SIZE.lineInfo),
      same("sizeof(struct gpio_v2_line_request)", SIZE.request),
      same("sizeof(struct gpio_v2_line_config)", SIZE.config),
      same("sizeof(struct gpio_v2_line_values)", SIZE.values),
      same("sizeof(struct gpio_v2_line_event)", SIZE.event),
      same("GPIO_V2_LINES_MAX * 16", MOST_EVENTS),
      same("offsetof(struct gpiochip_info, label)", 32),
      same("offsetof(struct gpiochip_info, lines)", 64),
      same("offsetof(struct gpio_v2_line_info, consumer)", 32),
      same("offsetof(struct gpio_v2_line_info, offset)", 64),
      same("offsetof(struct gpio_v2_line_info, flags)", 72),
      same("offsetof(struct gpio_v2_line_request, consumer)", 256),
      same("offsetof(struct gpio_v2_line_request, config)", 288),
      same("offsetof(struct gpio_v2_line_request, num_lines)", 560),
      same("offsetof(struct gpio_v2_line_request, event_buffer_size)", 564),
      same("offsetof(struct gpio_v2_line_request, fd)", 588),
      same("offsetof(struct gpio_v2_line_values, mask)", 8),
      same("offsetof(struct gpio_v2_line_event, line_seqno)", 20),
    ];
    const options = { deadlineSeconds: 30, input: `${source.join("\n")}\n` };
    await expect(exec(compiler, ["-fsyntax-only", "-std=c11", "-x", "c", "-"], options)).resolves.toBe("");
  });
});

describe.each(["cdev", "sysfs"])("through %s", (via) => {
  it.each(BOARD_CONTRACT.map(({ name }) => name))("the board keeps the contract: %s", (name) => {
    expect(errorOf(via, name)).toEqual([null]);
  });
});

describe.each([367, 800])("a train of %d Hz", (hertz) => {
  it("is told by the character device as it was sent, and every edge that the kernel saw is there or counted", () => {
    const train = trainOf("cdev", hertz);
    say(`cdev, ${hertz} Hz: ${JSON.stringify(train)}`);
    expect(train.got + (train.lost ?? Number.NaN)).toBe(train.interrupts);
    expect(train.lost).toBe(0);
    const rpm = (60 * hertz) / PULSES_PER_REVOLUTION;
    // A host with much else to do sends no even train, or its emulated controller misses an edge, and less can be told of it.
    const isWhole = (train.regularity ?? 0) >= 0.9 && train.interrupts === train.sent;
    const allowed = isWhole ? 0.005 : 0.05;
    expect(Math.abs((train.rpm ?? 0) / rpm - 1)).toBeLessThan(allowed);
  });

  it("is told by sysfs as well as it can", () => {
    const train = trainOf("sysfs", hertz);
    say(`sysfs, ${hertz} Hz: ${JSON.stringify(train)}`);
    expect(train.lost).toBeNull();
    expect(train.got).toBeGreaterThan(0);
    expect(train.got).toBeLessThanOrEqual(train.sent);
  });
});

describe("an energised line whose process is killed", () => {
  it("stays energised though the kernel has freed it, until the release step has run", async () => {
    const held = outcomes.find((found) => found.kind === "held")!;
    await until(20, "the held line", () => (level() === 1 ? true : undefined));
    await guest.shell.run(`kill -9 ${held.pid}`);
    await until(20, "the process's end", async () =>
      (await guest.shell.try(`test -e /proc/${held.pid}/exe`)).status === 0 ? undefined : true,
    );
    expect(level()).toBe(1);
    say("an energised line of the character device stays energised when its process is killed");
    const base = await guest.shell.run(
      `cat "$(dirname "$(grep -l '^${GPIO_LABEL}$' /sys/class/gpio/gpiochip*/label)")/base"`,
    );
    await guest.write("/tmp/outputs", `/sys/class/gpio/gpio${Number(base) + PINS.reduce}/direction`);
    await guest.shell.run(RELEASE);
    await until(20, "the released line", () => (level() === 0 ? true : undefined));
    const again = await guest.shell.try(`test -e /sys/class/gpio/gpio${Number(base) + PINS.reduce}`);
    expect(again.status).toBe(1);
  });
});
