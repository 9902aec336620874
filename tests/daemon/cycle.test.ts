// The heartbeat by hand-moved time: when it beats, what it drives first, and what it does when something in a cycle fails.

import { beforeEach, describe, expect, it } from "vitest";
import { configFrom, programFrom } from "../../daemon/commands/flags.ts";
import type { Program } from "../../daemon/core/step.ts";
import type { Publication } from "../../daemon/crossing/messages.ts";
import { Heartbeat } from "../../daemon/cycle.ts";
import { RHYTHMS } from "../../daemon/horn.ts";
import type { Supervisor } from "../../daemon/outputs/supervisor.ts";
import { fixedRig } from "../../daemon/station/rig.ts";
import { Sweep, type Swept } from "../../daemon/sweep.ts";
import { HardwareError } from "../../hardware/errors.ts";
import { HandHardware } from "../support/hand-hardware.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { USUAL_DRIVE } from "../support/usual-drive.ts";

const PROGRAM = programFrom(configFrom(undefined));
const RELEASED = { reduce: false, inhibit: false };
const PERMITTED = { reduce: true, inhibit: true };

let clock: ManualClock;
let hand: HandHardware;
let published: Publication[];
let told: string[];
let order: string[];
let fault: Error | null;
let heartbeat: Heartbeat;

/** Lets everything that waits for a promise go on. */
async function settle(): Promise<void> {
  for (let turn = 0; turn < 60; turn += 1) await Promise.resolve();
}

/** In steps of a twentieth of a second, to exact times. */
async function pass(seconds: number): Promise<void> {
  const from = clock.monotonicSeconds();
  const steps = Math.round(seconds / 0.05);
  for (let taken = 1; taken <= steps; taken += 1) {
    clock.advance(from + (taken * seconds) / steps - clock.monotonicSeconds());
    await settle();
  }
}

beforeEach(() => {
  begin(PROGRAM);
});

function begin(program: Program): void {
  [clock, hand, published, told, order, fault] = [new ManualClock(), new HandHardware(), [], [], [], null];
  const hardware = hand.as(clock);
  const relay = hardware.relay!;
  const sweep = new Sweep({
    hardware,
    drive: USUAL_DRIVE,
    rig: fixedRig(7.1e6, "CW"),
    clock,
  });
  const supervisor: Supervisor = {
    ready: () => told.push("ready"),
    alive: () => told.push("alive"),
    stopping: () => told.push("stopping"),
    close: () => {},
  };
  heartbeat = new Heartbeat({
    hardware: {
      ...hardware,
      relay: {
        ...relay,
        permit: (lines) => {
          order.push("relay");
          return relay.permit(lines);
        },
      },
    },
    program,
    checkpoint: null,
    sweep: {
      read: async (): Promise<Swept> => {
        order.push("read");
        if (fault !== null) throw fault;
        return sweep.read();
      },
    },
    service: () => ({ silentSeconds: 0.5, log: { writable: true, diskFreeRatio: 0.5 } }),
    publish: (publication) => {
      order.push("publish");
      published.push(publication);
    },
    supervisor: {
      ...supervisor,
      alive: (status) => {
        order.push("supervisor");
        supervisor.alive(status);
      },
    },
    clock,
    speed: 1,
    errors: () => sweep.totals,
    residentBytes: () => 80e6,
    rigAgeSeconds: () => null,
  });
}

const beats = () => published.flatMap(({ beat }) => (beat === null ? [] : [beat]));
const entries = () => published.flatMap(({ entries: made }) => made);

async function warmUp(): Promise<void> {
  await heartbeat.start();
  await pass(200);
  expect(hand.lines).toEqual(PERMITTED);
}

describe("time", () => {
  it("beats at whole seconds of its clock from its start, without drift", async () => {
    await heartbeat.start();
    await pass(5);
    const times = beats().map(({ outlook }) => outlook.atSeconds - 1000);
    expect(times).toHaveLength(6);
    for (const [index, time] of times.entries()) expect(time).toBeCloseTo(index, 6);
  });

  it("a cycle that took long is followed by the next whole second, and says how late nothing was", async () => {
    await heartbeat.start();
    hand.temperatures.set("outlet", () => new Promise(() => {}));
    await pass(3);
    const last = beats().at(-1)!;
    expect(last.outlook.readings.outlet).toMatchObject({ quality: "bad", code: "TIMEOUT" });
    expect(beats().every(({ outlook }) => outlook.readings.upkeep.cycleLateSeconds < 1e-6)).toBe(true);
  });

  it("a machine that slept makes one late beat, says how late, and makes up for none", async () => {
    await heartbeat.start();
    clock.pass(3.5);
    clock.advance(0);
    await settle();
    await pass(1);
    const late = beats().map(({ outlook }) => outlook.readings.upkeep.cycleLateSeconds);
    expect(late).toHaveLength(3);
    expect(late[1]).toBeCloseTo(2.5, 6);
    expect(late[2]).toBeCloseTo(0, 6);
    expect(beats().at(-1)?.outlook.atSeconds).toBeCloseTo(1004, 6);
  });

  it("beats at once when the fan falls quiet, and keeps its seconds afterwards", async () => {
    await heartbeat.start();
    await pass(1.3);
    expect(beats()).toHaveLength(2);
    hand.rpm = () => Promise.resolve(0);
    hand.wake();
    await settle();
    expect(beats()).toHaveLength(3);
    expect(beats().at(-1)?.outlook.atSeconds).toBeCloseTo(1001.3, 6);
    await pass(0.7);
    expect(beats().at(-1)?.outlook.atSeconds).toBeCloseTo(1002, 6);
  });

  it("a line that flutters does not turn it into a spin", async () => {
    await heartbeat.start();
    for (let index = 0; index < 100; index += 1) hand.wake();
    await pass(0.5);
    expect(beats().length).toBeLessThanOrEqual(3);
  });
});

describe("order", () => {
  it("reads, drives the relay, publishes, and only then tells the supervisor", async () => {
    await heartbeat.start();
    order = [];
    await pass(1);
    expect(order).toEqual(["read", "relay", "publish", "supervisor"]);
    expect(told).toEqual(["ready", "alive"]);
  });

  it("starts with both lines released and permits only by a step", async () => {
    expect(hand.lines).toEqual(RELEASED);
    await heartbeat.start();
    expect(hand.ordered[0]?.inhibit).toBe(beats()[0]?.permits.inhibit);
    await pass(200);
    expect(hand.lines).toEqual(PERMITTED);
  });
});

describe("a cycle that fails", () => {
  it("releases both lines, is recorded once, and the next one runs", async () => {
    await warmUp();
    fault = new Error("a bug nobody foresaw");
    const before = told.length;
    await pass(3);
    expect(hand.lines).toEqual(RELEASED);
    expect(told).toHaveLength(before);
    const failures = entries().filter(({ tag }) => tag === "cycle-failed");
    expect(failures).toHaveLength(1);
    expect(failures[0]?.text).toContain("a bug nobody foresaw");
    fault = null;
    await pass(1);
    expect(told.length).toBeGreaterThan(before);
    expect(beats().at(-1)?.outlook.atSeconds).toBeGreaterThan(1203);
  });

  it("because the relay refuses, tells nobody that all is well", async () => {
    await warmUp();
    hand.refuse = new HardwareError("IO", "gpio 24");
    const before = told.length;
    await pass(2);
    expect(told).toHaveLength(before);
    expect(entries().map(({ tag }) => tag)).toEqual(expect.arrayContaining(["cycle-failed", "relay-release"]));
    hand.refuse = null;
    await pass(2);
    expect(told.length).toBeGreaterThan(before);
  });

  it("because the relay refuses, still records what its step decided and answers what was carried out", async () => {
    hand.refuse = new HardwareError("IO", "gpio 24");
    heartbeat.deliver([{ id: "a", by: "operator", from: "test", action: { kind: "note", text: "rain" } }]);
    await heartbeat.start();
    await pass(2);
    expect(beats().some(({ driven }) => driven)).toBe(false);
    expect(entries().map(({ kind, tag }) => [kind, tag])).toEqual(
      expect.arrayContaining([
        ["event", "begin"],
        ["command", "note"],
      ]),
    );
    expect(published.flatMap(({ answers }) => answers)).toMatchObject([{ id: "a", accepted: true }]);
    expect(published.find(({ entries: made }) => made.length > 0)?.checkpoint).not.toBeNull();
  });

  it("because the relay refuses, still tells what is believed and alarmed: a line that stays energised is heard of", async () => {
    await warmUp();
    hand.refuse = new HardwareError("IO", "gpio 24");
    hand.temperatures.set("outlet", () => Promise.resolve(85));
    await pass(40);
    expect(hand.lines).toEqual(PERMITTED);
    const last = beats().at(-1)!;
    expect(last).toMatchObject({ driven: false, permits: RELEASED });
    expect(last.outlook.atSeconds).toBeCloseTo(1240, 6);
    expect(last.outlook.stage).toBe("inhibited");
    expect(last.outlook.alarms).toContainEqual(
      expect.objectContaining({ tag: "relay_disagrees", state: "unacknowledged" }),
    );
    hand.refuse = null;
    await pass(1);
    expect(beats().at(-1)).toMatchObject({ driven: true, permits: RELEASED });
  });

  it("answers the commands that were in it", async () => {
    await heartbeat.start();
    fault = new Error("broken");
    heartbeat.deliver([{ id: "a", by: "operator", from: "test", action: { kind: "note", text: "rain" } }]);
    await pass(1);
    expect(published.flatMap(({ answers }) => answers)).toEqual([
      { id: "a", accepted: false, text: "the cycle failed: broken" },
    ]);
  });
});

describe("the buzzer", () => {
  it("sounds as the worst alarm that waits, is asked every cycle, and is silent once it is acknowledged", async () => {
    await warmUp();
    hand.rhythms.length = 0;
    hand.temperatures.set("outlet", () => Promise.reject(new HardwareError("NACK", "i2c-1 0x49")));
    hand.temperatures.set("inlet", () => Promise.reject(new HardwareError("NACK", "i2c-1 0x48")));
    await pass(60);
    const waiting = beats()
      .at(-1)!
      .outlook.alarms.filter(({ priority }) => priority === "high");
    expect(waiting).not.toEqual([]);
    expect(hand.rhythms.at(-1)).toEqual(RHYTHMS.high);
    expect(hand.rhythms.length).toBeGreaterThanOrEqual(60);
    const commands = waiting.map(({ tag }, index) => {
      return { id: `${index}`, by: "operator", from: "test", action: { kind: "acknowledge", tag } } as const;
    });
    heartbeat.deliver(commands);
    await pass(2);
    expect(hand.rhythms.at(-1)).toBeNull();
  });

  it("sounds while cycles fail, and one whose line fails is recorded once", async () => {
    await heartbeat.start();
    fault = new Error("broken");
    hand.buzzerTrouble = new HardwareError("IO", "gpio 25");
    await pass(3);
    expect(hand.rhythms.at(-1)).toEqual(RHYTHMS.high);
    expect(entries().filter(({ tag }) => tag === "buzzer-failed")).toHaveLength(1);
  });
});

describe("the lines beside the permits", () => {
  it("pulse with every completed cycle, and stand still while cycles fail", async () => {
    await heartbeat.start();
    await pass(6);
    expect(hand.pulses).toEqual(hand.pulses.map((_, index) => (index % 2 === 0 ? 1 : 0)));
    const moved = hand.pulses.length;
    expect(moved).toBeGreaterThanOrEqual(6);
    fault = new Error("broken");
    await pass(5);
    expect(hand.pulses.length).toBe(moved);
    fault = null;
    await pass(3);
    expect(hand.pulses.length).toBeGreaterThan(moved);
  });

  it.each(["the lines refuse", "nothing can be read"])(
    "give a fan its supply back although %s meanwhile",
    async (why) => {
      const powerCycle = { attempts: 3, offSeconds: 2, waitSeconds: 10 };
      begin({ ...PROGRAM, fan: { ...PROGRAM.fan!, powerCycle } });
      await warmUp();
      hand.rpm = () => Promise.resolve(0);
      hand.sinceEdgeSeconds = 5;
      await pass(1);
      expect(hand.cuts.at(-1)).toBe(1);
      if (why === "the lines refuse") hand.refuse = new HardwareError("IO", "gpio 24");
      else fault = new Error("broken");
      await pass(5);
      expect(hand.cuts.at(-1)).toBe(0);
    },
  );

  it("leave the fan's supply alone while nothing is stalled, and are recorded once when they do not follow", async () => {
    await heartbeat.start();
    hand.switchTrouble = new HardwareError("IO", "gpio 27");
    await pass(5);
    expect(new Set(hand.cuts)).toEqual(new Set([0]));
    expect(entries().filter(({ tag }) => tag === "fan-cut-failed" || tag === "pulse-failed")).toHaveLength(2);
  });
});

describe("what is published", () => {
  it("numbers beats and entries without a gap", async () => {
    await heartbeat.start();
    heartbeat.note("one", "first");
    await pass(30);
    expect(beats().map(({ number }) => number)).toEqual(beats().map((_, index) => index + 1));
    expect(entries().map(({ number }) => number)).toEqual(entries().map((_, index) => index + 1));
  });

  it("a command enters once and is answered", async () => {
    await heartbeat.start();
    const note = { id: "a", by: "operator", from: "test", action: { kind: "note", text: "rain" } } as const;
    heartbeat.deliver([note]);
    heartbeat.deliver([note]);
    await pass(1);
    heartbeat.deliver([note]);
    await pass(1);
    expect(entries().filter(({ text }) => text.includes("rain"))).toHaveLength(1);
    const answers = published.flatMap(({ answers: given }) => given);
    expect(answers).toEqual([answers[0], answers[0]]);
    expect(answers[0]).toMatchObject({ id: "a", accepted: true });
  });

  it("a checkpoint goes out every ten seconds, and with every entry of the record", async () => {
    await heartbeat.start();
    await pass(35);
    const kept = published.filter(({ checkpoint }) => checkpoint !== null);
    expect(kept.length).toBeGreaterThanOrEqual(3);
    expect(
      published.every(
        ({ beat, entries: made, checkpoint }) => beat === null || made.length === 0 || checkpoint !== null,
      ),
    ).toBe(true);
    expect(JSON.parse(kept.at(-1)?.checkpoint ?? "")).toMatchObject({ version: 1 });
  });
});

describe("stopping", () => {
  it("releases both lines, leaves a checkpoint, and beats no more", async () => {
    await warmUp();
    const stopping = heartbeat.stop();
    await settle();
    await stopping;
    expect(hand.lines).toEqual(RELEASED);
    expect(told.at(-1)).toBe("stopping");
    expect(published.at(-1)).toMatchObject({ beat: null });
    expect(published.at(-1)?.checkpoint).not.toBeNull();
    expect(entries().at(-1)?.tag).toBe("stopped");
    const count = published.length;
    await pass(3);
    expect(published).toHaveLength(count);
  });
});
