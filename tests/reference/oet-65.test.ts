// Source: FCC OET Bulletin 65, Supplement B (97-01), table 2, duty factors of modes, as quoted in public station-evaluation
// sheets (the bulletin itself was not at hand): SSB 20 %, SSB with heavy processing 50 %, CW 40 %, FM, FSK and carrier 100 %.
// FT8 sends 12.64 s of its 15 s (from memory).
import { describe, expect, it } from "vitest";
import { modeNamed } from "../../daemon/core/physics/modes.ts";

const duty = (name: string): number => modeNamed(name)!.duty;

describe("OET 65 Supplement B", () => {
  it.each([
    ["SSB", 0.2],
    ["SSB processed", 0.5],
    ["FM", 1],
    ["RTTY", 1],
  ])("%s has a duty factor of %d", (mode, factor) => {
    expect(duty(mode)).toBe(factor);
  });

  it("never has more than what is counted with here: CW 40 %, FT8 12.64 s of every 30 s", () => {
    expect(duty("CW")).toBeGreaterThanOrEqual(0.4);
    expect(duty("CW")).toBeLessThanOrEqual(0.5);
    expect(duty("FT8")).toBeGreaterThanOrEqual(12.64 / 30);
  });
});
