// Spoil the n-th call to a part, for every n of a scenario: every code of the closed list, answers too late, and numbers that
// are none. What was spoiled is shown as bad in that very cycle and good again afterwards.

import { afterAll, expect, it } from "vitest";
import type { Publication } from "../../daemon/crossing/messages.ts";
import { Invariants } from "./campaign/invariants.ts";
import { Saboteur, SPOILS, type Spoil } from "./campaign/saboteur.ts";
import { plainScene } from "./campaign/scenes.ts";
import { LONG } from "./campaign/size.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const SCENARIO_SECONDS = 24;
/** Seven reads, a read-back and an order a cycle. */
const CALLS_PER_CYCLE = 9;
const APART_CYCLES = 6;
const STRIDE = CALLS_PER_CYCLE * APART_CYCLES;

const tally = new Tally("the n-th call to a part is spoiled");
afterAll(() => tally.print());

/** Readings of the newest beat that are shown although their part was spoiled in this cycle. */
function shownThough(spoiled: readonly string[], publications: readonly Publication[]): string[] {
  const readings = publications.at(-1)?.beat?.outlook.readings;
  if (readings === undefined) return [];
  return spoiled.filter((name) => {
    switch (name) {
      case "inlet":
      case "outlet":
      case "wall":
      case "ambient":
        return readings[name]?.quality !== "bad";
      case "tachometer":
        return readings.fan?.rpm.quality !== "bad";
      case "supply":
        return readings.supplyVolts?.quality !== "bad";
      case "drive":
        return readings.drive?.watts.quality !== "bad";
      case "relay":
        return false;
      default:
        return true;
    }
  });
}

async function scenario(spoil: Spoil, offset: number): Promise<void> {
  const saboteur = new Saboteur(spoil, (call) => call % STRIDE === offset);
  const trial = await Trial.open({ scenario: plainScene(), seed: 1, between: saboteur.within });
  const invariants = new Invariants(trial);
  await trial.run(SCENARIO_SECONDS, (publications) => {
    if (publications.length > 0) {
      for (const name of shownThough(saboteur.take(), publications)) {
        invariants.wrongs.push(`${name} was spoiled and is not shown as bad`);
      }
    }
    invariants.look(publications);
  });
  await trial.close();
  tally.count(`${spoil}, call ${offset} of ${STRIDE}`, saboteur.injected, invariants.wrongs, invariants.cycles);
}

it("for every n, with every code", async () => {
  for (let offset = 0; offset < STRIDE; offset += 1) {
    for (const [index, spoil] of SPOILS.entries()) {
      if (LONG || (offset * 7) % SPOILS.length === index) await scenario(spoil, offset);
    }
  }
  expect(tally.wrongs).toEqual([]);
  expect(tally.injected).toBeGreaterThan(100);
}, 240_000);
