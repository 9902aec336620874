// One after the other, in order, whatever becomes of each; and a bound.
import { describe, expect, it } from "vitest";
import { Lane } from "../../hardware/lane.ts";

describe("a lane", () => {
  it("runs tasks in the order they came, never two at once, and goes on after a failure", async () => {
    const lane = new Lane("i2c-1 0x48");
    const log: string[] = [];
    const task =
      (name: string, fails = false) =>
      async (): Promise<string> => {
        log.push(`${name} begins`);
        await new Promise((resolve) => {
          setImmediate(resolve);
        });
        log.push(`${name} ends`);
        if (fails) throw new Error(name);
        return name;
      };
    const outcomes = await Promise.allSettled([lane.run(task("a", true)), lane.run(task("b")), lane.run(task("c"))]);
    expect(outcomes.map((outcome) => outcome.status)).toEqual(["rejected", "fulfilled", "fulfilled"]);
    expect(log).toEqual(["a begins", "a ends", "b begins", "b ends", "c begins", "c ends"]);
  });

  it("refuses more than it can keep, and takes tasks again when it is empty", async () => {
    const lane = new Lane("i2c-1 0x48");
    let open: () => void = () => undefined;
    const gate = new Promise<void>((resolve) => {
      open = resolve;
    });
    const waiting = Array.from({ length: 32 }, () => lane.run(() => gate));
    await expect(lane.run(async () => undefined)).rejects.toMatchObject({ code: "TIMEOUT", place: "i2c-1 0x48" });
    open();
    await Promise.all(waiting);
    await expect(lane.run(async () => "again")).resolves.toBe("again");
  });
});
