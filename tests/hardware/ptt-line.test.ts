// The PTT line as an input: keyed by its level, whichever level that is; a line that is not there is a part that fails.

import { describe, expect, it } from "vitest";
import { openHardware } from "../../hardware/open.ts";
import { keyDown, playOvers } from "./simulated/overs.ts";
import { quietScenario, shed, WIRING } from "./simulated/shed.ts";

const keyed = playOvers(keyDown({ startSeconds: 0, seconds: 86_400, watts: 500, frequencyHertz: 3.6e6 }));

describe("a PTT line", () => {
  it.each([0, 1] as const)("that is keyed at level %d follows the transmitter", async (keyedLevel) => {
    const line = { chipLabel: null, offset: 22 };
    const { board, base } = shed({
      spec: { ...WIRING, relay: null, ptt: { line, keyedLevel } },
      scenario: quietScenario({ pattern: keyed }),
    });
    const { hardware, identities } = await base.settle(openHardware(board.spec, board));
    expect(board.station().transmitting).toBe(true);
    expect(await base.settle(hardware.ptt!.read())).toEqual({ keyed: true });
    expect(identities.find(({ name }) => name === "ptt")).toMatchObject({
      place: "gpio 22",
      identity: `keyed when ${keyedLevel === 1 ? "high" : "low"}`,
    });
    await hardware.close();
  });

  it("that does not exist is told, and reads fail with the same words", async () => {
    const spec = { ...WIRING, ptt: { line: { chipLabel: null, offset: 999 }, keyedLevel: 0 } } as const;
    const { board, base } = shed({ spec });
    const { hardware, faults, fit } = await base.settle(openHardware(spec, board));
    expect(fit).toBe(true);
    expect(faults.map(({ name, severity }) => [name, severity])).toEqual([["ptt", "degraded"]]);
    await expect(hardware.ptt!.read()).rejects.toThrow("gpio 999");
    await hardware.close();
  });
});
