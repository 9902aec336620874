// Lines through the character device, on a kernel that speaks its binary interface: stamps, lost edges, storms, refusals, and
// what is left when the process dies.
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { realBoard } from "../../../hardware/board.ts";
import { openTachometer } from "../../../hardware/tachometer.ts";
import { GpioKernel } from "../../support/gpio-kernel.ts";
import { chipFiles } from "../../support/gpio-tree.ts";
import { kernelTree } from "../../support/kernel-tree.ts";
import { ManualClock } from "../../support/manual-clock.ts";

const LABEL = "pinctrl-rp1";
const TACH = { headerPin: 11 };
const TACH_OFFSET = 17;

async function machine() {
  const root = await kernelTree({
    ...chipFiles([{ label: LABEL, base: 571, lines: 54 }]),
    "/dev/gpiochip0": "",
    "/dev/gpiochip4": "",
    "/run/outputs": "",
  });
  const clock = new ManualClock();
  // Newer systems of the Raspberry Pi 5 keep the chip's older device beside the new one.
  const chips = ["gpiochip0", "gpiochip4"].map((device) => ({ device, name: "gpiochip0", label: LABEL, lines: 54 }));
  const kernel = new GpioKernel(root, chips, () => clock.monotonicSeconds());
  const outputRecord = join(root, "/run/outputs");
  const packages = { kernelCalls: async () => kernel.calls };
  return { root, clock, kernel, outputRecord, board: await realBoard({ root, clock, outputRecord, packages }) };
}

type Machine = Awaited<ReturnType<typeof machine>>;

/** Falling edges at an exact frequency, each at its own time. */
function turn({ clock, kernel }: Machine, hertz: number, edges: number): void {
  for (let edge = 0; edge < edges; edge += 1) {
    clock.advance(1 / hertz);
    kernel.fall(LABEL, TACH_OFFSET);
  }
}

describe("an edge line", () => {
  // 367 Hz is 11 010 rpm, 800 Hz 24 000 rpm at two pulses a revolution: an ordinary fan, and the fastest there is.
  it.each([367, 800])("makes the exact speed of %d Hz from the kernel's stamps", async (hertz) => {
    const made = await machine();
    const tachometer = await openTachometer({ line: TACH, bias: "pull-up", pulsesPerRevolution: 2 }, made.board);
    turn(made, hertz, 2 * hertz);
    const sample = await tachometer.read();
    expect(sample.rpm).toBeCloseTo(30 * hertz, 3);
    expect(sample).toMatchObject({ regularity: expect.closeTo(1, 6), rejectedEdges: 0, lostEdges: 0 });
    await tachometer.close();
  });

  it("gives the edges that came while the program was busy their own times, and counts those that the kernel could not keep", async () => {
    const made = await machine();
    const line = await made.board.edgeLine(TACH, "pull-up");
    const times: number[] = [];
    line.onEdge((atSeconds) => times.push(atSeconds));
    const from = made.clock.monotonicSeconds();
    for (let edge = 1; edge <= 1500; edge += 1) {
      made.clock.pass(0.001);
      made.kernel.fall(LABEL, TACH_OFFSET);
    }
    made.clock.advance(0.05);
    // The kernel keeps the newest 1024; the first of them shows no gap to whoever saw none before it.
    expect(times).toHaveLength(1024);
    expect(times[0]).toBeCloseTo(from + 0.477, 6);
    made.kernel.fall(LABEL, TACH_OFFSET);
    made.clock.advance(0.05);
    for (let edge = 1; edge <= 1100; edge += 1) made.kernel.fall(LABEL, TACH_OFFSET);
    made.clock.advance(0.05);
    expect(line.lostEdges).toBe(1100 - 1024);
    expect(times).toHaveLength(1024 + 1 + 1024);
  });

  it("says in the speed's sample how many edges were lost, and still gives the right speed", async () => {
    const made = await machine();
    const tachometer = await openTachometer({ line: TACH, bias: "pull-up", pulsesPerRevolution: 2 }, made.board);
    turn(made, 367, 200);
    made.clock.advance(0.02);
    for (let edge = 0; edge < 1124; edge += 1) {
      made.clock.pass(1 / 367);
      made.kernel.fall(LABEL, TACH_OFFSET);
    }
    turn(made, 367, 100);
    const sample = await tachometer.read();
    expect(sample).toMatchObject({ lostEdges: 100, rejectedEdges: 0 });
    expect(sample.rpm).toBeCloseTo(30 * 367, 3);
  });

  it("has the pull-up that it is given, and interrupts nobody while nobody listens", async () => {
    const { board, kernel, clock } = await machine();
    const line = await board.edgeLine(TACH, "pull-up");
    const flags = () => kernel.line(LABEL, TACH_OFFSET).flags;
    expect(flags()).toBe(0x104);
    let heard = 0;
    const cancel = line.onEdge(() => {
      heard += 1;
    });
    expect(flags()).toBe(0x124);
    cancel();
    expect(flags()).toBe(0x104);
    kernel.fall(LABEL, TACH_OFFSET);
    line.onEdge(() => {
      heard += 1;
    });
    clock.advance(0.1);
    expect([heard, line.lostEdges]).toEqual([0, 0]);
    await expect(board.edgeLine({ headerPin: 13 }, "none")).resolves.toBeDefined();
    expect(kernel.line(LABEL, 27).flags).toBe(0x404);
  });

  it("survives a storm of noise: the tachometer rests, the kernel is left alone, and the speed comes back", async () => {
    const made = await machine();
    const tachometer = await openTachometer({ line: TACH, bias: "pull-up", pulsesPerRevolution: 2 }, made.board);
    turn(made, 20_000, 4000);
    expect(await tachometer.read()).toMatchObject({ rpm: null, lostEdges: 0 });
    expect(made.kernel.line(LABEL, TACH_OFFSET).flags & 0x20).toBe(0);
    made.clock.advance(2);
    turn(made, 367, 400);
    expect((await tachometer.read()).rpm).toBeCloseTo(30 * 367, 3);
  });

  it("gives no edges, and its level the reason, when the line cannot be read any more", async () => {
    const { board, kernel, clock } = await machine();
    const line = await board.edgeLine(TACH, "pull-up");
    line.onEdge(() => {});
    kernel.failures.set(
      "read",
      Array.from({ length: 10 }, () => "ENODEV"),
    );
    kernel.failures.set("ioctl 0e", ["ENODEV"]);
    clock.advance(0.1);
    await expect(line.read()).rejects.toMatchObject({ code: "LINE_MISSING", place: "pin 11" });
  });

  it("leaves nothing open and nothing waiting when it is closed", async () => {
    const { board, kernel, clock } = await machine();
    const line = await board.edgeLine(TACH, "pull-up");
    line.onEdge(() => {});
    expect(kernel.openFiles).toBe(1);
    await line.close();
    await line.close();
    clock.advance(1);
    expect(kernel.openFiles).toBe(0);
  });
});

describe("an output line", () => {
  it("is low at once, pulled down, under the program's name, and on the list for the release step", async () => {
    const { board, kernel, outputRecord } = await machine();
    await board.outputLine({ headerPin: 16 });
    expect(kernel.line(LABEL, 23)).toMatchObject({ level: 0, flags: 0x208, consumer: "emberwire" });
    await expect(readFile(outputRecord, "utf8")).resolves.toBe("/sys/class/gpio/gpio594/direction\n");
  });

  it("is free when the process dies, with whatever level it had: that is why there is a release step", async () => {
    const { board, kernel } = await machine();
    const line = await board.outputLine({ headerPin: 16 });
    await line.write(1);
    kernel.die();
    expect(kernel.line(LABEL, 23)).toMatchObject({ level: 1, consumer: null });
  });

  it("is low when it is closed, even when the board closes it", async () => {
    const { board, kernel } = await machine();
    const line = await board.outputLine({ headerPin: 16 });
    await line.write(1);
    await board.close();
    expect(kernel.line(LABEL, 23)).toMatchObject({ level: 0, consumer: null });
    expect(kernel.openFiles).toBe(0);
  });

  it("is one line however it is written", async () => {
    const { board } = await machine();
    await board.outputLine({ headerPin: 16 });
    for (const spec of [
      { chipLabel: null, offset: 23 },
      { chipLabel: null, name: "GPIO23" },
      { chipLabel: LABEL, offset: 23 },
    ]) {
      await expect(board.outputLine(spec)).rejects.toMatchObject({ code: "LINE_BUSY" });
    }
  });
});

describe("a refusal", () => {
  it("says who holds the line", async () => {
    const { board, kernel } = await machine();
    kernel.hold(LABEL, 23, "gpio-fan");
    await expect(board.outputLine({ headerPin: 16 })).rejects.toMatchObject({
      code: "LINE_BUSY",
      message: expect.stringContaining('held by "gpio-fan"'),
    });
    expect(kernel.openFiles).toBe(0);
  });

  it("gives a line back that a crash left exported through sysfs, once", async () => {
    const { root, board, kernel } = await machine();
    kernel.hold(LABEL, 23, "sysfs");
    await expect(board.outputLine({ headerPin: 16 })).rejects.toMatchObject({ code: "LINE_BUSY" });
    await expect(readFile(join(root, "/sys/class/gpio/unexport"), "utf8")).resolves.toBe("594");
    await writeFile(join(root, "/sys/class/gpio/unexport"), "");
    kernel.free(LABEL, 23);
    await expect(board.outputLine({ headerPin: 16 })).resolves.toBeDefined();
    await expect(readFile(join(root, "/sys/class/gpio/unexport"), "utf8")).resolves.toBe("");
  });

  it.each([
    ["EACCES", "open", "PERMISSION", /group|rules/],
    ["EINVAL", "ioctl 07", "LINE_SETTINGS", /interface = "sysfs"/],
  ])("%s of %s is %s, with what to do", async (errno, call, code, remedy) => {
    const { board, kernel } = await machine();
    kernel.failures.set(call, [errno, errno, errno]);
    await expect(board.edgeLine(TACH, "pull-up")).rejects.toMatchObject({
      code,
      remedy: expect.stringMatching(remedy),
    });
    expect(kernel.openFiles).toBe(0);
  });
});
