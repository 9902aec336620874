// The simulated adapter answers as the kernel's driver would, disturbed wires included.
import { describe, expect, it } from "vitest";
import { fromErrno } from "../../../hardware/errno.ts";
import type { I2cHandle } from "../../../hardware/ports.ts";
import type { Fault } from "../../../hardware/simulated/faults.ts";
import { permitAll, shed } from "./shed.ts";

const INLET = 0x48;
const SHADE = 0x44;
const forGood = { startSeconds: 0, endSeconds: null };

async function wired(faults: readonly Fault[] = []) {
  const { base, board } = shed({ faults });
  const handle = await board.i2c(1);
  base.advance(2);
  return { base, board, handle };
}
const celsius = (bytes: Uint8Array): number => (((bytes[0]! << 24) | (bytes[1]! << 16)) >> 16) / 128;
/** A humidity chip's reading: command, pause, six bytes. */
async function climate(handle: I2cHandle, base: { advance(seconds: number): void }): Promise<Uint8Array> {
  await handle.write(SHADE, Uint8Array.of(0x24, 0x00));
  base.advance(0.02);
  return handle.read(SHADE, 6);
}

describe("a simulated bus", () => {
  it("gives a chip's registers", async () => {
    const { handle, board } = await wired();
    expect([...(await handle.readRegister(INLET, 0x0f, 2))]).toEqual([0x01, 0x17]);
    const seen = celsius(await handle.readRegister(INLET, 0x00, 2));
    expect(Math.abs(seen - board.truth().inletCelsius)).toBeLessThan(0.5);
  });

  it("keeps the register pointer between a plain write and a plain read", async () => {
    const { handle } = await wired();
    await handle.write(INLET, Uint8Array.of(0x0f));
    expect([...(await handle.read(INLET, 2))]).toEqual([0x01, 0x17]);
  });

  it("does not acknowledge an address where nothing is", async () => {
    const { handle } = await wired();
    await expect(handle.readRegister(0x4f, 0, 2)).rejects.toMatchObject({ code: "EREMOTEIO", syscall: "readI2cBlock" });
    const cause = await handle.read(0x4f, 1).catch((error: unknown) => error);
    expect(fromErrno(cause, "i2c-1 0x4f", "i2c").code).toBe("NACK");
  });

  it("does not acknowledge a chip that is not ready", async () => {
    const { handle, base } = await wired();
    await handle.write(SHADE, Uint8Array.of(0x24, 0x00));
    await expect(handle.read(SHADE, 6)).rejects.toMatchObject({ code: "EREMOTEIO" });
    base.advance(0.02);
    expect(await handle.read(SHADE, 6)).toHaveLength(6);
  });

  it("does not exist where the specification has none, and stays closed once closed", async () => {
    const { board, handle } = await wired();
    await expect(board.i2c(2)).rejects.toMatchObject({ code: "ENOENT" });
    await handle.close();
    await expect(handle.read(INLET, 2)).rejects.toMatchObject({ code: "EBADF" });
    const again = await board.i2c(1);
    expect(await again.readRegister(INLET, 0x0f, 2)).toHaveLength(2);
  });
});

describe("a disturbed bus", () => {
  it("loses one chip and keeps the others", async () => {
    const { handle } = await wired([{ kind: "chip silent", part: "inlet", ...forGood }]);
    await expect(handle.readRegister(INLET, 0, 2)).rejects.toMatchObject({ code: "EREMOTEIO" });
    expect(await handle.readRegister(0x49, 0, 2)).toHaveLength(2);
  });

  it("held low, lets every transfer run into the adapter's own timeout", async () => {
    const { handle, base } = await wired([{ kind: "bus stuck", bus: 1, startSeconds: 0, endSeconds: 10 }]);
    const began = base.monotonicSeconds();
    await expect(base.settle(handle.readRegister(INLET, 0, 2))).rejects.toMatchObject({ code: "ETIMEDOUT" });
    expect(base.monotonicSeconds() - began).toBeCloseTo(1, 6);
    base.advance(10);
    expect(await handle.readRegister(INLET, 0x0f, 2)).toHaveLength(2);
  });

  it("gives random bytes, different each time", async () => {
    const { handle } = await wired([{ kind: "garbage bytes", part: "inlet", ...forGood }]);
    const seen = new Set<string>();
    for (let read = 0; read < 20; read += 1) seen.add((await handle.readRegister(INLET, 0x0f, 2)).join(" "));
    expect(seen.size).toBeGreaterThan(15);
  });

  it("breaks a checksum", async () => {
    const sound = await wired();
    const broken = await wired([{ kind: "checksum wrong", part: "shade", ...forGood }]);
    const [right, wrong] = [await climate(sound.handle, sound.base), await climate(broken.handle, broken.base)];
    // Same seed, same weather: only the byte that was hit differs.
    expect([...wrong].map((byte, at) => byte ^ right[at]!)).toEqual([0, 0, 0x24, 0, 0, 0]);
  });

  it("leaves a chip at its power-on value, and lets it convert again afterwards", async () => {
    const { handle, base } = await wired([{ kind: "power-on value", part: "inlet", startSeconds: 3, endSeconds: 10 }]);
    expect(celsius(await handle.readRegister(INLET, 0, 2))).toBeGreaterThan(0);
    base.advance(4);
    expect([...(await handle.readRegister(INLET, 0, 2))]).toEqual([0x80, 0x00]);
    base.advance(3);
    expect([...(await handle.readRegister(INLET, 0, 2))]).toEqual([0x80, 0x00]);
    base.advance(3);
    await handle.readRegister(INLET, 0, 2);
    base.advance(1);
    expect(celsius(await handle.readRegister(INLET, 0, 2))).toBeGreaterThan(0);
  });

  it.each(["silent", "garbage"] as const)("is upset by RF while transmitting only (%s)", async (effect) => {
    const { handle, base, board } = await wired([{ kind: "RF upset", probability: 0.3, effect, ...forGood }]);
    await permitAll(board);
    const upsets = async (): Promise<number> => {
      let count = 0;
      for (let read = 0; read < 200; read += 1) {
        const bytes = await handle.readRegister(INLET, 0x0f, 2).catch(() => Uint8Array.of(0, 0));
        if (bytes[0] !== 0x01 || bytes[1] !== 0x17) count += 1;
      }
      return count;
    };
    expect(board.station().transmitting).toBe(false);
    expect(await upsets()).toBe(0);
    base.advance(60);
    expect(board.station().transmitting).toBe(true);
    const seen = await upsets();
    expect(seen).toBeGreaterThan(35);
    expect(seen).toBeLessThan(90);
  });
});
