// What Check shows of the hardware, from the real parts on the simulated board: every part once, with its own failures and no other's,
// and every bus with the sum of its errors.

import { expect, it } from "vitest";
import { configFrom } from "../../daemon/commands/flags.ts";
import { hardwareHealth } from "../../daemon/hardware-health.ts";
import { openSimulated } from "../../daemon/open-simulated.ts";
import { systemClock } from "../../hardware/clock.ts";

it("names every part once, gives each its own failures, and sums those of a bus", async () => {
  const { hardware, board } = await openSimulated(configFrom(undefined), 1, await systemClock());
  try {
    const health = () =>
      hardwareHealth({
        hardware,
        sweep: {
          errors: [
            { name: "inlet", code: "NACK", receiving: 1, transmitting: 4 },
            { name: "inlet", code: "TIMEOUT", receiving: 0, transmitting: 2 },
            { name: "relay", code: "TIMEOUT", receiving: 3, transmitting: 0 },
          ],
          sweeps: { receiving: 10, transmitting: 20 },
        },
        uptimeSeconds: 59.6,
        residentBytes: 80e6,
        serviceRestarts: 2,
      });
    const { parts, buses, ...rest } = health();
    const names = parts.map(({ name }) => name);
    expect(new Set(names).size).toBe(names.length);
    expect(names).toEqual(expect.arrayContaining(["inlet", "outlet", "wall", "relay"]));
    expect(parts.every(({ part, place, role }) => part !== "" && place !== "" && role !== "")).toBe(true);
    expect(Object.fromEntries(parts.map(({ name, errors }) => [name, errors.length]))).toMatchObject({
      inlet: 2,
      outlet: 0,
      relay: 1,
    });
    expect(parts.find(({ name }) => name === "inlet")?.errors[0]).toEqual({
      code: "NACK",
      receiving: 1,
      transmitting: 4,
    });
    expect(rest).toEqual({
      sweeps: { receiving: 10, transmitting: 20 },
      relay_place: parts.find(({ name }) => name === "relay")?.place,
      uptime_seconds: 60,
      resident_bytes: 80e6,
      service_restarts: 2,
    });
    expect(buses.map(({ errors, stuck }) => ({ errors, stuck }))).toEqual([{ errors: 0, stuck: false }]);
    // A chip that is silent costs its bus errors, and the sum says so.
    board.faults.add({ kind: "chip silent", part: "inlet", startSeconds: board.elapsedSeconds(), endSeconds: null });
    const inlet = hardware.temperatures.find(({ role }) => role === "inlet");
    await expect(inlet?.read()).rejects.toThrow();
    expect(health().buses[0]?.errors).toBeGreaterThan(0);
  } finally {
    await hardware.close();
  }
});
