// A fan whose driver has locked itself out: alarmed and reduced at once, freed by the switch in its supply, full power again
// by itself. Without the switch it stays where it is.

import { afterAll, describe, expect, it } from "vitest";
import { parseConfig } from "../../daemon/config/parse.ts";
import { DEMO_CONFIG } from "../../daemon/demo.ts";
import { Invariants } from "./campaign/invariants.ts";
import { plainScene } from "./campaign/scenes.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const SWITCHED = `${DEMO_CONFIG}
[fan_cut]
line = "pin 13"

[fan.power_cycle]
attempts = 2
off = "4s"
wait = "10s"
`;
const tally = new Tally("fans locked out");
afterAll(() => tally.print());

/** Runs a lockout from 20 s on; resolves with its record and the last stage. */
async function lockout(text: string, seconds: number) {
  const faults = [{ kind: "fan lockout", startSeconds: 20, endSeconds: null }] as const;
  const trial = await Trial.open({ scenario: plainScene(), seed: 3, faults, read: parseConfig(text, "lockout.toml") });
  const invariants = new Invariants(trial);
  await trial.run(seconds, invariants.look);
  const { fanRpm } = trial.board.truth();
  const stage = trial.newest?.outlook.stage;
  await trial.close();
  tally.count("lockout", 1, [...invariants.wrongs], invariants.cycles);
  const told = (tag: string): number => invariants.entries.filter((entry) => entry.tag === tag).length;
  return { fanRpm, stage, told };
}

describe("a fan that locks itself out", () => {
  it("is freed by its switch, once, and the power comes back by itself", async () => {
    const { fanRpm, stage, told } = await lockout(SWITCHED, 300);
    expect(fanRpm).toBeGreaterThan(9_000);
    expect(told("fan_power_cycle")).toBe(1);
    expect(stage).toBe("full");
    expect(tally.wrongs).toEqual([]);
  });

  it("stays alarmed and reduced where there is no switch", async () => {
    const { fanRpm, stage, told } = await lockout(DEMO_CONFIG, 120);
    expect(fanRpm).toBe(0);
    expect(told("fan_power_cycle")).toBe(0);
    expect(stage).not.toBe("full");
    expect(tally.wrongs).toEqual([]);
  });
});
