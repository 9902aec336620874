// The script of faults: what holds when, and what it refuses to hold.
import { describe, expect, it } from "vitest";
import { type Fault, FaultScript } from "../../../hardware/simulated/faults.ts";

describe("a script of faults", () => {
  it("holds a fault from its beginning until just before its end, or for good", () => {
    let now = 0;
    const script = new FaultScript(
      () => now,
      [
        { kind: "fan stall", startSeconds: 10, endSeconds: 20 },
        { kind: "wet core", lossFactor: 2, startSeconds: 15, endSeconds: null },
      ],
    );
    const at = (seconds: number) => {
      now = seconds;
      return [script.find("fan stall") !== null, script.find("wet core")?.lossFactor ?? null];
    };
    expect(at(9.99)).toEqual([false, null]);
    expect(at(10)).toEqual([true, null]);
    expect(at(19.99)).toEqual([true, 2]);
    expect(at(20)).toEqual([false, 2]);
    expect(at(1e9)).toEqual([false, 2]);
  });

  it("finds by part and by line", () => {
    const script = new FaultScript(
      () => 5,
      [
        { kind: "chip silent", part: "inlet", startSeconds: 0, endSeconds: null },
        { kind: "chip silent", part: "wall", startSeconds: 6, endSeconds: null },
        { kind: "relay stuck", line: "inhibit", level: 1, startSeconds: 0, endSeconds: null },
      ],
    );
    expect(script.ofPart("chip silent", "inlet")).not.toBeNull();
    expect(script.ofPart("chip silent", "outlet")).toBeNull();
    expect(script.ofPart("chip silent", "wall")).toBeNull();
    expect(script.ofPart("garbage bytes", "inlet")).toBeNull();
    expect(script.ofLine("relay stuck", "inhibit")?.level).toBe(1);
    expect(script.ofLine("relay stuck", "reduce")).toBeNull();
    expect(script.ofLine("relay misread", "inhibit")).toBeNull();
  });

  it("takes faults while it runs and ends them on demand", () => {
    const script = new FaultScript(() => 100);
    const end = script.add({ kind: "tach lead lost", startSeconds: 0, endSeconds: null });
    expect(script.find("tach lead lost")).not.toBeNull();
    end();
    end();
    expect(script.find("tach lead lost")).toBeNull();
  });

  it("is bounded", () => {
    const script = new FaultScript(() => 0);
    const fault: Fault = { kind: "fan stall", startSeconds: 0, endSeconds: 1 };
    for (let count = 0; count < 1000; count += 1) script.add(fault);
    expect(() => script.add(fault)).toThrow(/at most 1000/);
  });

  const wrong: Fault[] = [
    { kind: "fan stall", startSeconds: -1, endSeconds: null },
    { kind: "fan stall", startSeconds: 10, endSeconds: 9 },
    { kind: "fan stall", startSeconds: Number.NaN, endSeconds: null },
    { kind: "fan slow", speedRatio: -0.1, startSeconds: 0, endSeconds: null },
    { kind: "fan surging", depth: 2, periodSeconds: 1, startSeconds: 0, endSeconds: null },
    { kind: "fan slow start", timeConstantSeconds: 0, startSeconds: 0, endSeconds: null },
    { kind: "tach noise", edgesPerSecond: 20_001, startSeconds: 0, endSeconds: null },
    { kind: "vents clogged", flowFactor: 1.1, rampSeconds: 0, startSeconds: 0, endSeconds: null },
    { kind: "supply sag", volts: -1, startSeconds: 0, endSeconds: null },
    { kind: "wet core", lossFactor: 0, startSeconds: 0, endSeconds: null },
    { kind: "calls fail", first: 0, count: 1, errno: "EIO", startSeconds: 0, endSeconds: null },
    { kind: "RF upset", probability: 1.5, effect: "silent", startSeconds: 0, endSeconds: null },
  ];
  it.each(wrong)("refuses $kind with senseless figures", (fault) => {
    expect(() => new FaultScript(() => 0, [fault])).toThrow(new RegExp(`fault "${fault.kind}"`));
  });
});
