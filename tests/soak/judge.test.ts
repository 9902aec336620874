// The soak's judge on made series: what is flat, what grows, what is no evidence.
import { describe, expect, it } from "vitest";
import { constantVerdict, memoryVerdict, noneVerdict } from "./judge.ts";

const series = (bytesAt: (share: number) => number, count = 80) =>
  Array.from({ length: count }, (_, index) => ({
    atSeconds: index,
    residentBytes: bytesAt(index / count),
    files: 20,
    threads: 11,
  }));

describe("memory", () => {
  it.each([
    ["flat", () => 100e6, true],
    ["filling its caches at first", (share: number) => 100e6 + Math.min(share, 0.25) * 200e6, true],
    ["breathing with the collector", (share: number) => 100e6 + 8e6 * Math.sin(60 * share), true],
    ["leaking 40 MB", (share: number) => 100e6 + 40e6 * share, false],
    ["jumping late and staying", (share: number) => (share < 0.6 ? 100e6 : 120e6), false],
  ])("that is %s", (_what, bytesAt, good) => {
    expect(memoryVerdict("it", series(bytesAt)).good).toBe(good);
  });

  it("of a few samples is no evidence", () => {
    expect(
      memoryVerdict(
        "it",
        series(() => 100e6, 4),
      ),
    ).toMatchObject({ good: false, figure: "4 samples" });
  });
});

describe("what must not change or happen", () => {
  it("is judged by being the same", () => {
    expect(constantVerdict("it", "files", 29, 29).good).toBe(true);
    expect(constantVerdict("it", "files", 29, 30).good).toBe(false);
    expect(constantVerdict("it", "files", 29, Number.NaN).good).toBe(false);
  });

  it("is judged by there being none, and some are told", () => {
    expect(noneVerdict("it", "errors", []).good).toBe(true);
    expect(noneVerdict("it", "errors", ["a", "b", "c", "d"])).toMatchObject({ good: false, figure: "4: a; b; c" });
  });
});
