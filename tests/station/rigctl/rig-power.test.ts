// The rig's own power: lowered after the permit lines, put back afterwards, never above what was found, never against the operator's
// hand, and never left low by a restart. The dial is a made-up rig whose every quirk a test sets.

import { describe, expect, it } from "vitest";
import type { PowerStage } from "../../../daemon/core/effects.ts";
import type { RigWord } from "../../../daemon/station/rig.ts";
import type { Held } from "../../../daemon/station/rigctl/reduction.ts";
import { RigPower } from "../../../daemon/station/rigctl/rig-power.ts";

class Shack {
  ratio = 0.8;
  stage: PowerStage = "full";
  now = 0;
  held: Held | null = null;
  readonly sets: number[] = [];
  readonly events: string[] = [];
  /** What the rig makes of a level. */
  takes: (ratio: number) => number | null = (ratio) => ratio;
  refusal: string | null = null;
  diesAtSet = false;
  diskFull = false;
  reduceTo = 0.25;
  power = this.start();

  /** A new process with what the last one left behind. */
  start(): RigPower {
    return new RigPower({
      reduceToRatio: this.reduceTo,
      memory: {
        recall: () => this.held,
        keep: (held) => {
          if (this.diskFull) throw new Error("no room");
          this.held = held;
        },
      },
      note: (tag, text) => this.events.push(`${tag}: ${text}`),
    });
  }

  restart(): void {
    this.power = this.start();
  }

  async run(seconds: number): Promise<void> {
    for (const until = this.now + seconds; this.now < until; this.now += 1) {
      this.power.hear(this.stage, this.now);
      const word: RigWord = {
        atSeconds: this.now,
        frequencyHertz: 3.6e6,
        mode: "CW",
        transmitting: true,
        powerRatio: this.ratio,
        meterWatts: null,
        swr: null,
      };
      await this.power.attend({ setPower: (ratio) => this.#set(ratio) }, word).catch(() => {});
    }
  }

  async #set(ratio: number) {
    this.sets.push(ratio);
    this.ratio = this.takes(ratio) ?? this.ratio;
    if (this.diesAtSet) throw new Error("the connection broke");
    return { refusal: this.refusal, readBackRatio: this.takes(ratio) === null ? this.ratio : this.ratio };
  }

  tags(): readonly string[] {
    return this.events.map((text) => text.split(":")[0] ?? "");
  }
}

describe("the rig's power", () => {
  it("is lowered once a lower stage stands, read back, and put back as it was found", async () => {
    const shack = new Shack();
    await shack.run(10);
    expect(shack.sets).toEqual([]);
    shack.stage = "reduced";
    await shack.run(3);
    expect(shack.sets).toEqual([]);
    await shack.run(7);
    expect(shack.sets).toEqual([0.25]);
    expect(shack.held).toEqual({ foundRatio: 0.8, setRatio: 0.25, confirmed: true });
    shack.stage = "inhibited";
    await shack.run(10);
    shack.stage = "full";
    await shack.run(10);
    expect(shack.sets).toEqual([0.25, 0.8]);
    expect(shack.held).toBeNull();
    expect(shack.events).toEqual([
      "rig_power_lowered: the rig's power was set from 80 % to 25 % (stage reduced) and reads back 25 %",
      "rig_power_restored: the rig's power was put back to 80 %, as it was found, and reads back 80 %",
    ]);
  });

  it("is never raised: where it stands lower already nothing is set", async () => {
    const shack = new Shack();
    shack.ratio = 0.2;
    shack.stage = "inhibited";
    await shack.run(30);
    shack.stage = "full";
    await shack.run(30);
    expect(shack.sets).toEqual([]);
    expect(shack.events).toEqual([]);
  });

  it.each([0.1, 0.5, 0.9])(
    "is left at %d where the operator turned it meanwhile, until the next reduction",
    async (turned) => {
      const shack = new Shack();
      shack.stage = "reduced";
      await shack.run(10);
      shack.ratio = turned;
      await shack.run(10);
      shack.stage = "full";
      await shack.run(10);
      expect(shack.sets).toEqual([0.25]);
      expect(shack.ratio).toBe(turned);
      expect(shack.tags()).toEqual(["rig_power_lowered", "rig_power_left"]);
      shack.stage = "reduced";
      await shack.run(10);
      expect(shack.sets).toEqual(turned > 0.25 ? [0.25, 0.25] : [0.25]);
    },
  );

  it("is not put back by a restart that finds it turned, and is by one that finds it low", async () => {
    for (const [turned, sets] of [
      [0.25, [0.25, 0.8]],
      [0.4, [0.25]],
    ] as const) {
      const shack = new Shack();
      shack.stage = "reduced";
      await shack.run(10);
      shack.restart();
      shack.ratio = turned;
      shack.stage = "full";
      await shack.run(10);
      expect(shack.sets).toEqual(sets);
      expect(shack.held).toBeNull();
    }
  });

  it("is put back even when the process died between the set and its read-back, on a rig with coarse steps", async () => {
    const shack = new Shack();
    shack.takes = (ratio) => Math.round(ratio * 10) / 10;
    shack.diesAtSet = true;
    shack.stage = "reduced";
    await shack.run(5);
    expect(shack.ratio).toBe(0.3);
    shack.diesAtSet = false;
    shack.restart();
    shack.stage = "full";
    await shack.run(10);
    expect(shack.ratio).toBe(0.8);
    expect(shack.held).toBeNull();
  });

  it("that never got lower because the process died first is simply lowered again", async () => {
    const shack = new Shack();
    shack.takes = () => null;
    shack.diesAtSet = true;
    shack.stage = "reduced";
    await shack.run(5);
    shack.takes = (ratio) => ratio;
    shack.diesAtSet = false;
    shack.restart();
    await shack.run(10);
    expect(shack.held).toEqual({ foundRatio: 0.8, setRatio: 0.25, confirmed: true });
    expect(shack.tags()).toEqual(["rig_power_lowered"]);
  });

  it("that the rig does not take is tried three times, told twice, and left alone until the next reduction", async () => {
    const shack = new Shack();
    shack.takes = () => null;
    shack.refusal = "the rig refuses (error -9)";
    shack.stage = "reduced";
    await shack.run(120);
    expect(shack.sets).toHaveLength(3);
    expect(shack.tags()).toEqual(["rig_power_not_lowered", "rig_power_not_lowered"]);
    expect(shack.events[0]).toContain("the rig refuses (error -9)");
    expect(shack.events[1]).toContain("not tried again");
    shack.stage = "full";
    await shack.run(10);
    expect(shack.sets).toHaveLength(3);
    expect(shack.held).toBeNull();
  });

  it("that does not come back is tried three times and kept in memory for the next start", async () => {
    const shack = new Shack();
    shack.stage = "reduced";
    await shack.run(10);
    shack.takes = () => null;
    shack.stage = "full";
    await shack.run(120);
    expect(shack.sets).toEqual([0.25, 0.8, 0.8, 0.8]);
    expect(shack.held?.foundRatio).toBe(0.8);
    shack.takes = (ratio) => ratio;
    shack.restart();
    await shack.run(10);
    expect(shack.ratio).toBe(0.8);
  });

  it("is not touched when what it was cannot be kept", async () => {
    const shack = new Shack();
    shack.diskFull = true;
    shack.stage = "reduced";
    await shack.run(60);
    expect(shack.sets).toEqual([]);
    expect(shack.tags()).toEqual(["rig_power_not_kept"]);
  });

  it("is not touched by a stage that nobody has confirmed for a while: the heartbeat may stand still", async () => {
    const shack = new Shack();
    shack.power.hear("reduced", 0);
    const word = { frequencyHertz: null, mode: null, transmitting: null, powerRatio: 0.8, meterWatts: null, swr: null };
    await shack.power.attend({ setPower: () => Promise.reject(new Error("asked")) }, { ...word, atSeconds: 6 });
    expect(shack.events).toEqual([]);
  });
});
