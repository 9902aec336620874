// A guided heat run beat by beat on the truth plant: stages, what is asked for, the break at the limit, and what may be accepted.

import { describe, expect, it } from "vitest";
import { configFrom } from "../../daemon/commands/flags.ts";
import { solveLeastSquares } from "../../daemon/commands/heat-run/solver.ts";
import { modelOf } from "../../daemon/config/model.ts";
import type { Model } from "../../daemon/core/estimate/model.ts";
import type { Rehearsal } from "../../daemon/crossing/messages.ts";
import { answerJob } from "../../daemon/heat-run/job.ts";
import { HeatRunSession, type KeptRun } from "../../daemon/heat-run/session.ts";
import type { HeatRunStage } from "../../daemon/wire/heat-run.ts";
import { beginPlay, type Play } from "../support/heat-run.ts";

const prior = modelOf(configFrom(undefined));

const MINUTE = 60;

/** A session whose shack and fan obey it, as the simulated ones do. */
class Guided {
  readonly accepted: Model[] = [];
  readonly fanLeaves: (number | null)[] = [];
  kept: KeptRun | null = null;
  upperCelsius: number | null = 60;
  readonly play: Play = beginPlay(3);
  session: HeatRunSession;
  #shack: Rehearsal = { watts: null, fanTurns: true };
  #second = 0;

  constructor() {
    this.session = this.begin(null);
  }

  /** A service thread that is started, with what an earlier one left. */
  begin(left: KeptRun | string | null): HeatRunSession {
    this.session = new HeatRunSession({
      prior,
      inUse: prior,
      limits: { fanOffCelsius: 100 },
      work: (job) => Promise.resolve(answerJob(job, solveLeastSquares)),
      keep: (run) => {
        this.kept = run;
      },
      accept: (model) => this.accepted.push(model),
      rehearse: (shack) => {
        this.#shack = shack;
      },
      leaveFan: (seconds) => this.fanLeaves.push(seconds),
      name: "a test",
      left,
    });
    return this.session;
  }

  /** Lets `seconds` pass; `limited` is why power had to come down. */
  pass(seconds: number, limited: string | null = null): void {
    for (let gone = 0; gone < seconds; gone += 1) {
      this.#second += 1;
      const { watts, fanTurns } = this.#shack;
      const { inletCelsius, outletCelsius, driveWatts } = this.play.next(watts ?? 0, fanTurns ? 1 : 0);
      this.session.take({
        timeSeconds: this.#second,
        inletCelsius,
        outletCelsius,
        wallCelsius: null,
        spotCoreCelsius: null,
        fanRpm: fanTurns ? 11_000 : 0,
        driveWatts,
        frequencyHertz: 3.65e6,
        limited,
        coreUpperCelsius: this.upperCelsius,
      });
    }
  }

  /** Until the stage has come; a stage that never comes is a failure. */
  passTo(stage: HeatRunStage): void {
    for (let minute = 0; this.session.view.stage !== stage; minute += 1) {
      if (minute > 120) throw new Error(`never came to ${stage}, stayed in ${this.session.view.stage}`);
      this.pass(MINUTE);
    }
  }

  /** A thermometer on the core, read now. */
  read(): void {
    const why = this.session.ask({ kind: "core reading", celsius: this.play.coreCelsius, at_seconds: this.#second });
    if (why !== null) throw new Error(why);
  }

  get second(): number {
    return this.#second;
  }
}

/** The answers of the arithmetic are promises. */
const settled = () => new Promise<void>((resolve) => setImmediate(resolve));

describe("a guided heat run", () => {
  it("leads through quiet, key-down and cool-down, asks for the core, and ends in a model that may be kept", async () => {
    const guided = new Guided();
    const { session } = guided;
    expect(session.ask({ kind: "begin", drive_watts: 900 })).toBeNull();
    guided.pass(4 * MINUTE);
    expect(session.view).toMatchObject({ stage: "prepare", stage_seconds: 4 * MINUTE, transmitting: false });
    guided.pass(11 * MINUTE);
    await settled();
    expect(session.view).toMatchObject({ stage: "key-down", transmitting: true, halted: null });
    expect(session.view.converging.every((one) => !one.settled)).toBe(true);
    for (let part = 0; part < 6; part += 1) {
      guided.pass(5 * MINUTE);
      await settled();
    }
    expect(session.view.converging.filter((one) => one.settled).length).toBeGreaterThanOrEqual(3);
    guided.pass(2 * MINUTE);
    expect(session.view.stage).toBe("cool-down");
    const since = session.view.unkeyed_seconds ?? Number.NaN;
    expect(since).toBeGreaterThan(0);
    expect(
      session.ask({ kind: "core reading", celsius: guided.play.coreCelsius, at_seconds: guided.second }),
    ).toBeNull();
    expect(session.view.spots).toHaveLength(1);
    guided.pass(40 * MINUTE);
    await settled();
    expect(session.view).toMatchObject({ stage: "result", refusals: [], result: { calibration: "calibrated" } });
    expect(session.view.result?.rise_uncertainty_ratio).toBeLessThan(0.1);
    expect(guided.kept?.recording.samples.length).toBeGreaterThan(60 * MINUTE);
    expect(guided.accepted).toEqual([]);
    expect(session.ask({ kind: "accept" })).toBeNull();
    expect(guided.accepted).toMatchObject([{ calibration: "calibrated", origin: "heat run of a test" }]);
    expect(session.ask({ kind: "accept" })).toBe("there is no result to accept");
  });

  it("calls for unkeying when protection takes power off, and goes on with the cool-down", () => {
    const guided = new Guided();
    guided.session.ask({ kind: "begin", drive_watts: 1500 });
    guided.pass(15 * MINUTE);
    guided.pass(1, "the core may be above 100 °C");
    expect(guided.session.view).toMatchObject({ stage: "key-down", halted: "the core may be above 100 °C" });
    guided.pass(2);
    expect(guided.session.view).toMatchObject({ stage: "cool-down", transmitting: false });
  });

  it("waits until a warm box is cold", () => {
    const guided = new Guided();
    for (let second = 0; second < 20 * MINUTE; second += 1) guided.play.next(1200);
    guided.session.ask({ kind: "begin", drive_watts: 900 });
    guided.pass(6 * MINUTE);
    expect(guided.session.view.stage).toBe("prepare");
    guided.pass(30 * MINUTE);
    expect(guided.session.view.stage).toBe("key-down");
    expect(guided.session.view.recorded_seconds).toBeLessThan(34 * MINUTE);
  });

  it("says why a run that was finished too early teaches nothing, and forgets an aborted one", async () => {
    const guided = new Guided();
    const { session } = guided;
    session.ask({ kind: "begin", drive_watts: 900 });
    expect(session.ask({ kind: "begin", drive_watts: 900 })).toBe("a heat run is under way");
    expect(session.ask({ kind: "finish" })).toBe("only a cool-down can be finished");
    guided.pass(16 * MINUTE);
    guided.pass(1, "limit");
    guided.pass(3);
    expect(session.ask({ kind: "finish" })).toBeNull();
    await settled();
    expect(session.view.stage).toBe("refused");
    expect(session.view.refusals.join("\n")).toMatch(/let it cool with the recording on/);
    expect(session.ask({ kind: "discard" })).toBeNull();
    expect(session.view).toMatchObject({ stage: "idle", refusals: [], recorded_seconds: 0 });
    session.ask({ kind: "begin", drive_watts: 900 });
    guided.pass(10);
    expect(session.ask({ kind: "abort" })).toBeNull();
    expect(session.view).toMatchObject({ stage: "idle", recorded_seconds: 0 });
    expect(session.ask({ kind: "abort" })).toBe("no heat run is under way");
  });

  it("stops the fan only when it is safe, calls for it again in time, and learns still air from it", async () => {
    const guided = new Guided();
    guided.upperCelsius = 95;
    expect(guided.session.ask({ kind: "begin", drive_watts: 900, fan_off: true })).toBeNull();
    guided.passTo("fan-off");
    expect(guided.session.view).toMatchObject({ fan_may_stop: false, fan_turning: true, fan_off_celsius: 100 });
    expect(guided.fanLeaves).toEqual([]);
    guided.read();
    guided.upperCelsius = 85;
    guided.pass(3);
    expect(guided.session.view).toMatchObject({ fan_may_stop: true, fan_turning: false });
    expect(guided.fanLeaves).toEqual([1800]);
    for (let reading = 0; reading < 3; reading += 1) {
      guided.pass(3 * MINUTE);
      guided.read();
    }
    guided.pass(2 * MINUTE);
    expect(guided.session.view).toMatchObject({ stage: "fan-off", stage_seconds: expect.closeTo(11 * MINUTE, -1) });
    guided.passTo("cool-down");
    expect(guided.fanLeaves).toEqual([1800, null]);
    guided.passTo("fitting");
    await settled();
    expect(guided.session.view).toMatchObject({ stage: "result", result: { calibration: "calibrated" } });
    const still = guided.session.view.result?.quantities.find(({ name }) => name === "outletLagFanOffSeconds");
    expect(still?.identified).toBe(true);
  });

  it.each([
    ["the core comes near the limit", { upper: 100, watts: 0, why: "the core may be at 100 °C" }],
    ["the core is not known", { upper: null, watts: 0, why: "the core is not known" }],
  ])("calls for the fan when %s", (_name, { upper, why }) => {
    const guided = new Guided();
    guided.session.ask({ kind: "begin", drive_watts: 900, fan_off: true });
    guided.passTo("fan-off");
    guided.pass(5);
    expect(guided.session.view).toMatchObject({ fan_turning: false, halted: null });
    guided.upperCelsius = upper;
    guided.pass(1);
    expect(guided.session.view).toMatchObject({ stage: "fan-off", halted: why, fan_must_turn: true });
    guided.pass(2);
    expect(guided.session.view).toMatchObject({ stage: "cool-down", fan_turning: true });
    expect(guided.fanLeaves).toEqual([1800, null]);
  });

  it("leaves the part out when the fan is not stopped in time, when it is told to, or when the key-down was broken off", () => {
    const waited = new Guided();
    waited.upperCelsius = 99;
    waited.session.ask({ kind: "begin", drive_watts: 900, fan_off: true });
    waited.passTo("fan-off");
    waited.passTo("cool-down");
    expect(waited.fanLeaves).toEqual([]);
    const skipped = new Guided();
    expect(skipped.session.ask({ kind: "skip fan off" })).toBe("there is no part with the fan stopped");
    skipped.upperCelsius = 99;
    skipped.session.ask({ kind: "begin", drive_watts: 900, fan_off: true });
    skipped.passTo("fan-off");
    expect(skipped.session.ask({ kind: "skip fan off" })).toBeNull();
    expect(skipped.session.view.stage).toBe("cool-down");
    const broken = new Guided();
    broken.session.ask({ kind: "begin", drive_watts: 900, fan_off: true });
    broken.passTo("key-down");
    broken.pass(60);
    broken.pass(3, "the core may be above 100 °C");
    expect(broken.session.view.stage).toBe("cool-down");
  });

  it("goes on after another service thread has taken over, with its readings, its fan and its fit", async () => {
    const guided = new Guided();
    guided.session.ask({ kind: "begin", drive_watts: 900, fan_off: true });
    guided.passTo("fan-off");
    guided.read();
    guided.pass(90);
    const before = guided.session.view;
    guided.begin(guided.kept);
    guided.pass(1);
    expect(guided.session.view).toMatchObject({
      stage: "fan-off",
      planned_watts: 900,
      fan_turning: false,
      spots: before.spots,
      cut_off: null,
    });
    expect(guided.session.view.stage_seconds).toBeGreaterThan(60);
    guided.passTo("cool-down");
    guided.passTo("fitting");
    await settled();
    expect(guided.session.view.stage).toBe("result");
    const kept = guided.kept;
    guided.begin(kept);
    await settled();
    expect(guided.session.view).toMatchObject({ stage: "result", result: { calibration: "calibrated" } });
  });

  it("says that a run was cut off, until another begins", () => {
    const guided = new Guided();
    guided.begin("a new start of the daemon cut off the heat run (key-down)");
    expect(guided.session.view).toMatchObject({ stage: "idle", cut_off: expect.stringContaining("cut off") });
    guided.session.ask({ kind: "begin", drive_watts: 900 });
    expect(guided.session.view.cut_off).toBeNull();
  });

  it("takes no core reading from outside the recording", () => {
    const guided = new Guided();
    expect(guided.session.ask({ kind: "core reading", celsius: 80, at_seconds: 1 })).toBe("no heat run is under way");
    guided.session.ask({ kind: "begin", drive_watts: 900 });
    guided.pass(60);
    expect(guided.session.ask({ kind: "core reading", celsius: 80, at_seconds: 900 })).toContain(
      "not within the recording",
    );
  });
});
