// A guided heat run beat by beat on the truth plant: stages, what is asked for, the break at the limit, and what may be accepted.

import { describe, expect, it } from "vitest";
import { configFrom } from "../../daemon/commands/flags.ts";
import { solveLeastSquares } from "../../daemon/commands/heat-run/solver.ts";
import { modelOf } from "../../daemon/config/model.ts";
import type { Model } from "../../daemon/core/estimate/model.ts";
import { answerJob } from "../../daemon/heat-run/job.ts";
import { HeatRunSession } from "../../daemon/heat-run/session.ts";
import { beginPlay, type Play } from "../support/heat-run.ts";

const prior = modelOf(configFrom(undefined));

/** A session whose shack obeys it, as the simulated one does. */
class Guided {
  readonly accepted: Model[] = [];
  kept = 0;
  readonly play: Play = beginPlay(3);
  #watts: number | null = null;
  #second = 0;
  readonly session = new HeatRunSession({
    prior,
    inUse: prior,
    work: (job) => Promise.resolve(answerJob(job, solveLeastSquares)),
    keep: (samples) => {
      this.kept = samples.length;
    },
    accept: (model) => this.accepted.push(model),
    rehearse: (watts) => {
      this.#watts = watts;
    },
    nameOf: () => "a test",
  });

  /** Lets `seconds` pass; `limited` is why power had to come down. */
  pass(seconds: number, limited: string | null = null): void {
    for (let gone = 0; gone < seconds; gone += 1) {
      this.#second += 1;
      const { inletCelsius, outletCelsius, driveWatts } = this.play.next(this.#watts ?? 0);
      this.session.take({
        timeSeconds: this.#second,
        inletCelsius,
        outletCelsius,
        wallCelsius: null,
        spotCoreCelsius: null,
        fanRpm: 11_000,
        driveWatts,
        frequencyHertz: 3.65e6,
        limited,
      });
    }
  }

  get second(): number {
    return this.#second;
  }
}

const MINUTE = 60;
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
    expect(guided.kept).toBeGreaterThan(60 * MINUTE);
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
