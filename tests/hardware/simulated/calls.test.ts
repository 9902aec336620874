// Calls into the board are counted, and any one of them can be made to fail as the system's own do.
import { constants } from "node:os";
import { describe, expect, it } from "vitest";
import { fromErrno } from "../../../hardware/errno.ts";
import { systemError } from "../../../hardware/simulated/calls.ts";
import { shed } from "./shed.ts";

/** Six calls of three kinds; which of them failed, by errno. */
async function six(faults: Parameters<typeof shed>[0]): Promise<{ outcomes: (string | null)[]; calls: number }> {
  const { board, base } = shed(faults);
  base.advance(2);
  const outcomes: (string | null)[] = [];
  const attempt = async <T>(call: () => Promise<T>): Promise<T | null> => {
    try {
      const value = await call();
      outcomes.push(null);
      return value;
    } catch (error) {
      outcomes.push((error as { code: string }).code);
      return null;
    }
  };
  const handle = await attempt(() => board.i2c(1));
  const line = await attempt(() => board.outputLine({ chipLabel: null, offset: 23 }));
  await attempt(async () => handle?.readRegister(0x48, 0x0f, 2));
  await attempt(async () => line?.write(1));
  await attempt(async () => line?.read());
  await attempt(() => board.readText("/sys/class/hwmon/hwmon0/temp1_input"));
  return { outcomes, calls: board.calls() };
}

describe("the n-th call", () => {
  it("counts bus, line and file calls alike", async () => {
    expect(await six({})).toEqual({ outcomes: [null, null, null, null, null, null], calls: 6 });
  });

  it.each([1, 2, 3, 4, 5, 6])("number %i fails when the script says so, and no other", async (first) => {
    const { outcomes } = await six({
      faults: [{ kind: "calls fail", first, count: 1, errno: "EIO", startSeconds: 0, endSeconds: null }],
    });
    expect(outcomes[first - 1]).toBe("EIO");
    expect(outcomes.filter((outcome) => outcome !== null)).toHaveLength(1);
  });

  it("fails in a run of calls, too", async () => {
    const { outcomes } = await six({
      faults: [{ kind: "calls fail", first: 3, count: 3, errno: "ETIMEDOUT", startSeconds: 0, endSeconds: null }],
    });
    expect(outcomes).toEqual([null, null, "ETIMEDOUT", "ETIMEDOUT", "ETIMEDOUT", null]);
  });
});

describe("a system error", () => {
  it("looks like Node's own, so that the same table turns it into a code", () => {
    const error = systemError("EREMOTEIO", "i2cRead") as Error & { errno?: number };
    expect(error).toMatchObject({ code: "EREMOTEIO", syscall: "i2cRead" });
    const timeout = systemError("ETIMEDOUT", "read") as Error & { errno?: number };
    expect(timeout.errno).toBe(constants.errno.ETIMEDOUT);
    expect(fromErrno(timeout, "i2c-1 0x48", "i2c").code).toBe("TIMEOUT");
  });
});
