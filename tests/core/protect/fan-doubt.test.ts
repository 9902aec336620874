// A tachometer that cannot be believed: noise, a lost lead, no answer; and what must not be taken for any of these.

import { describe, expect, it } from "vitest";
import { bad, good } from "../../../daemon/core/readings.ts";
import { quiet, turned, Watcher } from "./watcher.ts";

describe("a doubtful tach", () => {
  it("is doubtful when its pulses are irregular", () => {
    const watcher = turned();
    expect(watcher.at(61, { fan: { regularity: 0.2 } }).verdict).toBe("doubtful");
    expect(watcher.at(62, { fan: { rpm: bad("IRREGULAR"), regularity: 0.05 } }).verdict).toBe("doubtful");
    expect(watcher.health.doubtSeconds).toBe(61);
    expect(watcher.at(63).doubtSeconds).toBeNull();
  });

  it("is doubtful, not stalled, while noise hides whether there are pulses", () => {
    const watcher = turned();
    const noisy = { fan: { rpm: bad("IRREGULAR"), regularity: 0, secondsSinceEdge: 5 } };
    expect(watcher.at(61, noisy).verdict).toBe("doubtful");
    expect(watcher.at(62, quiet(6)).verdict).toBe("stalled");
    expect(watcher.health.detectionSeconds).toBe(6);
  });

  // 20 kHz of noise on the lead, two pulses a revolution, is 600 000 rpm.
  it("is doubtful when it is faster than any fan", () => {
    expect(turned().at(61, { fan: { rpm: good((20_000 * 60) / 2) } }).verdict).toBe("doubtful");
  });

  it("is doubtful when the fan draws no current", () => {
    expect(turned().at(61, { supplyAmperes: good(0.002) }).verdict).toBe("doubtful");
    expect(turned().at(61, { supplyVolts: good(0.2) }).verdict).toBe("doubtful");
  });

  it("is lost, not the fan, when current and air go on as before", () => {
    const warm = { inlet: good(20), outlet: good(28) };
    const watcher = new Watcher();
    watcher.for(60, () => warm);
    watcher.for(30, (second) => ({ ...warm, ...quiet(second - 60) }));
    expect(watcher.health.verdict).toBe("stalled");
    watcher.for(60, (second) => ({ ...warm, ...quiet(second - 60) }));
    expect(watcher.health.verdict).toBe("doubtful");
    expect(watcher.health.doubtSeconds).toBe(60);
  });

  it("stays lost while the air goes its way with the drive, until the current changes", () => {
    const warm = { inlet: good(20), outlet: good(28) };
    const watcher = new Watcher();
    watcher.for(60, () => warm);
    watcher.for(90, (second) => ({ ...warm, ...quiet(second - 60) }));
    expect(watcher.for(60, (second) => ({ outlet: good(22), ...quiet(second - 60) })).verdict).toBe("doubtful");
    expect(watcher.for(1, (second) => ({ supplyAmperes: good(0.3), ...quiet(second - 60) })).verdict).toBe("stalled");
  });

  it("is not lost, but stalled, when noise gives way to silence", () => {
    const warm = { inlet: good(20), outlet: good(28) };
    const watcher = new Watcher();
    watcher.for(60, () => warm);
    watcher.for(90, () => ({ ...warm, fan: { rpm: bad("IRREGULAR"), regularity: 0, secondsSinceEdge: 0.1 } }));
    expect(watcher.for(1, () => ({ outlet: good(22), ...quiet(91) })).verdict).toBe("stalled");
  });

  it.each([
    ["the air changes", { outlet: good(23) }],
    ["the current changes", { supplyAmperes: good(0.3) }],
    ["nothing is known of the current", { supplyAmperes: null }],
    ["the outlet cannot be read", { outlet: bad("NACK") }],
  ])("stays a stall when %s", (_, change) => {
    const warm = { inlet: good(20), outlet: good(28) };
    const watcher = new Watcher();
    watcher.for(60, () => warm);
    watcher.for(1, (second) => ({ ...warm, ...quiet(second - 60) }));
    watcher.for(300, (second) => ({ ...warm, ...quiet(second - 60), ...change }));
    expect(watcher.health.verdict).toBe("stalled");
  });

  it("stays a stall when the box was cold, because cold air proves nothing", () => {
    const watcher = turned();
    watcher.for(300, (second) => quiet(second - 60));
    expect(watcher.health.verdict).toBe("stalled");
  });
});

describe("an unknown fan", () => {
  it("is unknown when the tachometer cannot be read, however long ago it last was", () => {
    const watcher = turned();
    expect(watcher.at(90, { fan: { rpm: bad("TIMEOUT"), secondsSinceEdge: 30 } }).verdict).toBe("unknown");
    expect(watcher.health.doubtSeconds).toBe(90);
  });

  it("is unknown without doubt when none is fitted", () => {
    const health = new Watcher().at(1, { fan: null });
    expect([health.verdict, health.doubtSeconds]).toEqual(["unknown", null]);
  });
});
