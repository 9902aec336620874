// What all simulated chips share: the register pointer, and a conversion that takes its time and is held.
import { describe, expect, it } from "vitest";
import { fromBytes, HeldConversion, pointerDevice, steps, word } from "../../../../hardware/simulated/chips/device.ts";

describe("a register pointer", () => {
  it("stays where it was put, and repeats a register that is read past its end", () => {
    const registers = new Map<number, readonly number[]>([
      [1, [0x12, 0x34]],
      [2, [0x56]],
    ]);
    const chip = pointerDevice({
      get: (register) => registers.get(register) ?? [],
      set: (register, bytes) => registers.set(register, bytes),
    });
    chip.write(Uint8Array.of(1));
    expect([...chip.read(2)!]).toEqual([0x12, 0x34]);
    expect([...chip.read(4)!]).toEqual([0x12, 0x34, 0x12, 0x34]);
    chip.write(new Uint8Array(0));
    expect([...chip.read(1)!]).toEqual([0x12]);
    chip.write(Uint8Array.of(2, 0x99));
    expect([...chip.read(1)!]).toEqual([0x99]);
    chip.write(Uint8Array.of(7));
    expect([...chip.read(2)!]).toEqual([0xff, 0xff]);
  });
});

describe("words and steps", () => {
  it("are big-endian two's complement, rounded and clipped", () => {
    expect(word(-1)).toEqual([0xff, 0xff]);
    expect(word(0x1234)).toEqual([0x12, 0x34]);
    expect(fromBytes([0x80, 0x01])).toBe(0x8001);
    expect(steps(25.03, 0.0625, -100, 1000)).toBe(400);
    expect(steps(1e9, 1, -100, 1000)).toBe(1000);
    expect(steps(-1e9, 1, -100, 1000)).toBe(-100);
  });
});

describe("a held conversion", () => {
  it("takes one value a period and none before the first has ended", () => {
    let now = 0;
    let taken = 0;
    const conversion = new HeldConversion(
      () => now,
      () => {
        taken += 1;
        return taken;
      },
      0.5,
      1,
    );
    expect(conversion.latest()).toBeNull();
    now = 0.5;
    expect([conversion.latest(), conversion.latest(), conversion.count]).toEqual([1, 1, 1]);
    now = 1.49;
    expect(conversion.latest()).toBe(1);
    now = 1.5;
    expect(conversion.latest()).toBe(2);
    now = 100;
    expect(conversion.latest()).toBe(3);
    conversion.restart(1, Number.POSITIVE_INFINITY);
    expect(conversion.latest()).toBe(3);
    now = 101;
    expect(conversion.latest()).toBe(4);
    now = 1e6;
    expect(conversion.latest()).toBe(4);
    conversion.clear();
    expect(conversion.latest()).toBe(5);
  });
});
