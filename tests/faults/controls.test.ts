// The campaign's own proof: daemons that were broken on purpose, each in one way, are found out by the invariants.

import { expect, it } from "vitest";
import type { Hardware } from "../../hardware/ports.ts";
import { Invariants } from "./campaign/invariants.ts";
import { drawnScene, plainScene } from "./campaign/scenes.ts";
import { Trial } from "./campaign/trial.ts";

async function wrongsOf(
  between: (hardware: Hardware) => Hardware,
  scenario = plainScene(),
  seconds = 200,
): Promise<readonly string[]> {
  const trial = await Trial.open({ scenario, seed: 1, between });
  const invariants = new Invariants(trial);
  await trial.run(seconds, invariants.look);
  return invariants.wrongs;
}

it("a line that is energised whatever is ordered", async () => {
  const wrongs = await wrongsOf((hardware) => {
    const relay = hardware.relay!;
    const always = () => relay.permit({ reduce: true, inhibit: true });
    return { ...hardware, relay: { ...relay, permit: always, readBack: () => relay.readBack() } };
  });
  expect(wrongs.join("\n")).toMatch(/is energised/);
});

/** A cold box that is being heated. */
const warming = { ...plainScene(), prerollSeconds: 30 };

it("a driver that hands out a stored number", async () => {
  const wrongs = await wrongsOf((hardware) => {
    const [inlet, outlet, ...others] = hardware.temperatures;
    const first = outlet!.read();
    return { ...hardware, temperatures: [inlet!, { ...outlet!, read: () => first }, ...others] };
  }, warming);
  expect(wrongs.join("\n")).toMatch(/outlet .* is shown as good, and it is .* off/);
});

it("a heartbeat that stands still", async () => {
  const wrongs = await wrongsOf((hardware) => {
    let orders = 0;
    const relay = hardware.relay!;
    const permit: typeof relay.permit = (lines) => {
      orders += 1;
      return orders < 20 ? relay.permit(lines) : new Promise(() => {});
    };
    return { ...hardware, relay: { ...relay, permit, readBack: () => relay.readBack() } };
  });
  expect(wrongs.join("\n")).toMatch(/no cycle for/);
});

it("a feedpoint that is told to be cold while its core runs away", async () => {
  const cold = (hardware: Hardware): Hardware => ({
    ...hardware,
    temperatures: hardware.temperatures.map((part) => ({
      ...part,
      read: async () => ({ celsius: 20 + Math.sin(hardware.clock.monotonicSeconds()) / 8, humidityRatio: null }),
    })),
    drive: { ...hardware.drive!, read: async () => ({ forwardVolts: 0, reflectedVolts: 0 }) },
  });
  const hot = drawnScene(1);
  const wrongs = await wrongsOf(cold, { ...hot, plant: { ...hot.plant, bandLossFactors: { "80 m": 4 } } }, 400);
  expect(wrongs.join("\n")).toMatch(/a toroid at .* at full stage/);
});
