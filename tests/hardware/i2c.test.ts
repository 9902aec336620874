// The bus queue: one transfer at a time, deadlines, retries, fresh handles after errors, hanging calls, and a stuck bus.
import { beforeEach, describe, expect, it } from "vitest";
import { I2cBus } from "../../hardware/i2c.ts";
import type { I2cHandle } from "../../hardware/ports.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { systemError } from "../support/register-chip.ts";

/** What the wire does with one transfer. */
type Behaviour = (address: number) => Promise<Uint8Array>;

/** A wire whose behaviour a test sets, with a record of handles and of transfers under way. */
class Wire {
  readonly clock = new ManualClock();
  behaviour: Behaviour = async () => Uint8Array.of(0x19, 0x00);
  opened = 0;
  closed = 0;
  underWay = 0;
  mostUnderWay = 0;
  readonly order: number[] = [];
  readonly usedHandles: number[] = [];

  readonly open = async (): Promise<I2cHandle> => {
    this.opened += 1;
    const number = this.opened;
    const transfer = async (address: number): Promise<Uint8Array> => {
      this.order.push(address);
      this.usedHandles.push(number);
      this.underWay += 1;
      this.mostUnderWay = Math.max(this.mostUnderWay, this.underWay);
      try {
        return await this.behaviour(address);
      } finally {
        this.underWay -= 1;
      }
    };
    return {
      readRegister: transfer,
      read: transfer,
      write: async (address) => void (await transfer(address)),
      close: async () => {
        this.closed += 1;
      },
    };
  };

  bus(): I2cBus {
    return new I2cBus({ bus: 1, clock: this.clock, open: this.open });
  }

  takes(seconds: number): Promise<void> {
    return new Promise((resolve) => {
      this.clock.after(seconds, resolve);
    });
  }
}

let wire: Wire;
beforeEach(() => {
  wire = new Wire();
});

const fails =
  (code: string, syscall?: string): Behaviour =>
  async () => {
    throw systemError(code, syscall);
  };
const hangs: Behaviour = () => new Promise(() => undefined);

describe("a sound bus", () => {
  it("opens once, with the first transfer", async () => {
    const device = wire.bus().device(0x48);
    expect(wire.opened).toBe(0);
    await Promise.all([device.readRegister(0, 2), device.readRegister(0, 2)]);
    expect(wire.opened).toBe(1);
  });

  it("never has two transfers under way", async () => {
    const bus = wire.bus();
    wire.behaviour = async () => {
      await wire.takes(0.01);
      return Uint8Array.of(1, 2);
    };
    const reads = [0x48, 0x49, 0x4a, 0x4b, 0x48].map((address) => bus.device(address).readRegister(0, 2));
    await wire.clock.settle(Promise.all(reads));
    expect(wire.mostUnderWay).toBe(1);
    expect(wire.order).toEqual([0x48, 0x49, 0x4a, 0x4b, 0x48]);
    expect(bus.health()).toEqual({ bus: "i2c-1", transfers: 5, retries: 0, reopens: 0, errors: {}, stuck: false });
  });

  it("keeps the steps of two sequences at one address apart", async () => {
    const device = wire.bus().device(0x44);
    const steps: string[] = [];
    const sequence = (name: string) => async (): Promise<void> => {
      for (const step of [1, 2]) {
        await device.write(Uint8Array.of(step));
        await wire.takes(0.01);
        steps.push(`${name}${step}`);
      }
    };
    await wire.clock.settle(Promise.all([device.exclusive(sequence("a")), device.exclusive(sequence("b"))]));
    expect(steps).toEqual(["a1", "a2", "b1", "b2"]);
  });

  it("rejects an answer that is too short", async () => {
    wire.behaviour = async () => Uint8Array.of(0x19);
    await expect(wire.bus().device(0x48).readRegister(0, 2)).rejects.toMatchObject({ code: "IO" });
  });

  it.each([-1, 0, 7, 0x78, 0x80, 1.5, Number.NaN])("refuses the reserved or impossible address %d", (address) => {
    expect(() => wire.bus().device(address)).toThrow(RangeError);
  });

  it.each([{ attemptSeconds: 0 }, { attemptSeconds: 1, budgetSeconds: 0.5 }, { retries: -1 }, { retries: 1.5 }])(
    "refuses to be made with %o",
    (options) => {
      expect(() => new I2cBus({ bus: 1, clock: wire.clock, open: wire.open, ...options })).toThrow(RangeError);
    },
  );
});

describe("a failing transfer", () => {
  it.each([
    ["EREMOTEIO", "NACK", 3],
    ["EIO", "IO", 3],
    ["EBUSY", "BUS_STUCK", 3],
    ["ETIMEDOUT", "TIMEOUT", 1],
    ["EACCES", "PERMISSION", 1],
    ["ENOENT", "BUS_MISSING", 1],
  ])("%s ends as %s after %i attempts", async (errno, code, attempts) => {
    wire.behaviour = fails(errno);
    const bus = wire.bus();
    await expect(bus.device(0x48).readRegister(0, 2)).rejects.toMatchObject({ code, place: "i2c-1 0x48" });
    expect(bus.health()).toMatchObject({ transfers: attempts, retries: attempts - 1, errors: { [code]: attempts } });
  });

  it("succeeds when a repeat does", async () => {
    const answers = [fails("EREMOTEIO"), fails("EREMOTEIO"), async () => Uint8Array.of(1, 2)];
    wire.behaviour = (address) => (answers.shift() ?? hangs)(address);
    const bus = wire.bus();
    await expect(bus.device(0x48).readRegister(0, 2)).resolves.toEqual(Uint8Array.of(1, 2));
    expect(bus.health()).toMatchObject({ retries: 2, reopens: 0, errors: { NACK: 2 } });
  });

  it("is never followed by another on the same handle, unless it was a missing acknowledge", async () => {
    const answers = [fails("EBUSY", "setAddr"), fails("EREMOTEIO"), async () => Uint8Array.of(1, 2)];
    wire.behaviour = (address) => (answers.shift() ?? hangs)(address);
    const bus = wire.bus();
    const device = bus.device(0x48);
    await expect(device.readRegister(0, 2)).rejects.toMatchObject({ code: "ADDRESS_BUSY" });
    await device.readRegister(0, 2);
    expect(wire.usedHandles).toEqual([1, 2, 2]);
    expect(wire.closed).toBe(1);
    expect(bus.health().reopens).toBe(1);
  });

  it("does not disturb the next in the queue", async () => {
    wire.behaviour = async (address) => {
      if (address === 0x48) throw systemError("EIO");
      return Uint8Array.of(1, 2);
    };
    const bus = wire.bus();
    const outcomes = await Promise.allSettled([
      bus.device(0x48).readRegister(0, 2),
      bus.device(0x49).readRegister(0, 2),
    ]);
    expect(outcomes.map((outcome) => outcome.status)).toEqual(["rejected", "fulfilled"]);
  });

  it("opens the bus again when it was missing at first", async () => {
    let exists = false;
    const bus = new I2cBus({
      bus: 1,
      clock: wire.clock,
      open: async () => {
        if (!exists) throw systemError("ENOENT");
        return wire.open();
      },
    });
    const device = bus.device(0x48);
    await expect(device.readRegister(0, 2)).rejects.toMatchObject({ code: "BUS_MISSING" });
    exists = true;
    await expect(device.readRegister(0, 2)).resolves.toHaveLength(2);
  });
});

describe("a hanging transfer", () => {
  it("ends as TIMEOUT at its deadline; its handle is left alone and closed only when the call has ended", async () => {
    let end: (bytes: Uint8Array) => void = () => undefined;
    wire.behaviour = () =>
      new Promise((resolve) => {
        end = resolve;
      });
    const bus = wire.bus();
    const device = bus.device(0x48);
    const before = wire.clock.monotonicSeconds();
    await expect(wire.clock.settle(device.readRegister(0, 2))).rejects.toMatchObject({ code: "TIMEOUT" });
    expect(wire.clock.monotonicSeconds() - before).toBeCloseTo(0.4, 9);
    expect(wire.closed).toBe(0);
    // Nobody else is let onto the bus while the call hangs.
    await expect(device.readRegister(0, 2)).rejects.toMatchObject({ code: "BUS_STUCK" });
    end(Uint8Array.of(1, 2));
    await wire.clock.advanceAsync(0.01);
    expect(wire.closed).toBe(1);
    wire.behaviour = async () => Uint8Array.of(3, 4);
    await expect(device.readRegister(0, 2)).resolves.toEqual(Uint8Array.of(3, 4));
    expect(wire.usedHandles).toEqual([1, 2]);
  });

  it("costs at most two calls that never come back, however long it lasts", async () => {
    wire.behaviour = hangs;
    const device = wire.bus().device(0x48);
    for (let second = 0; second < 20; second += 1) {
      await expect(wire.clock.settle(device.readRegister(0, 2))).rejects.toMatchObject({
        code: expect.stringMatching(/TIMEOUT|BUS_STUCK/),
      });
      await wire.clock.advanceAsync(1);
    }
    expect(wire.order).toHaveLength(2);
  });

  it("lets the bus recover through a fresh handle when the first call never comes back", async () => {
    wire.behaviour = hangs;
    const device = wire.bus().device(0x48);
    await expect(wire.clock.settle(device.readRegister(0, 2))).rejects.toMatchObject({ code: "TIMEOUT" });
    wire.behaviour = async () => Uint8Array.of(1, 2);
    await wire.clock.advanceAsync(1.1);
    await expect(device.readRegister(0, 2)).resolves.toEqual(Uint8Array.of(1, 2));
  });

  it("does not leave a handle behind that opens too late", async () => {
    let finish: (handle: I2cHandle) => void = () => undefined;
    const bus = new I2cBus({
      bus: 1,
      clock: wire.clock,
      open: () =>
        new Promise((resolve) => {
          finish = resolve;
        }),
    });
    await expect(wire.clock.settle(bus.device(0x48).readRegister(0, 2))).rejects.toMatchObject({ code: "TIMEOUT" });
    finish(await wire.open());
    await wire.clock.advanceAsync(0.01);
    expect(wire.order).toEqual([]);
    expect(wire.closed).toBe(1);
  });
});

describe("a queue", () => {
  it("gives every caller an answer within the budget, also when the first ones use it up", async () => {
    wire.behaviour = async () => {
      await wire.takes(0.3);
      return Uint8Array.of(1, 2);
    };
    const bus = wire.bus();
    const before = wire.clock.monotonicSeconds();
    const outcomes = await wire.clock.settle(
      Promise.allSettled([0x48, 0x49, 0x4a, 0x4b].map((address) => bus.device(address).readRegister(0, 2))),
    );
    expect(wire.clock.monotonicSeconds() - before).toBeLessThanOrEqual(0.51);
    expect(outcomes.map((outcome) => outcome.status)).toEqual(["fulfilled", "rejected", "rejected", "rejected"]);
  });

  it("lets chips that answer go before one that did not last time", async () => {
    wire.behaviour = async (address) => {
      if (address !== 0x48) return Uint8Array.of(1, 2);
      await wire.takes(0.38);
      throw systemError("ETIMEDOUT");
    };
    const bus = wire.bus();
    const devices = [0x48, 0x49, 0x4a].map((address) => bus.device(address));
    const sweep = () => wire.clock.settle(Promise.allSettled(devices.map((device) => device.readRegister(0, 2))));
    await sweep();
    wire.order.length = 0;
    // The bus is taken by 0x49 first; the silent chip is asked first among those who wait, yet served last.
    const first = devices[1]?.readRegister(0, 2);
    await Promise.all([first, sweep()]);
    expect(wire.order).toEqual([0x49, 0x49, 0x4a, 0x48]);
  });

  it("has a bound", async () => {
    wire.behaviour = hangs;
    const device = wire.bus().device(0x48);
    const reads = Array.from({ length: 66 }, () => device.readRegister(0, 2));
    await expect(reads.at(-1)).rejects.toMatchObject({ code: "TIMEOUT" });
    await wire.clock.settle(Promise.allSettled(reads));
    expect(wire.order).toHaveLength(1);
  });
});

describe("a stuck bus", () => {
  beforeEach(() => {
    wire.behaviour = async () => {
      await wire.takes(0.05);
      throw systemError("ETIMEDOUT");
    };
  });

  it("is a verdict after three transfers in a row without any answer, and is then asked only twice a second", async () => {
    const bus = wire.bus();
    const devices = [0x48, 0x49, 0x4a].map((address) => bus.device(address));
    const codes: string[] = [];
    const ask = async (): Promise<void> => {
      const outcomes = await wire.clock.settle(Promise.allSettled(devices.map((device) => device.readRegister(0, 2))));
      for (const outcome of outcomes) if (outcome.status === "rejected") codes.push(outcome.reason.code);
    };
    await ask();
    expect(codes).toEqual(["TIMEOUT", "TIMEOUT", "BUS_STUCK"]);
    expect(bus.health().stuck).toBe(true);
    const before = wire.order.length;
    await wire.clock.advanceAsync(1);
    await ask();
    expect(wire.order.length - before).toBe(1);
    expect(codes.slice(3)).toEqual(["BUS_STUCK", "BUS_STUCK", "BUS_STUCK"]);
  });

  it("tries the addresses in turn, so that one dead chip cannot hide that the others are back", async () => {
    const bus = wire.bus();
    const devices = [0x48, 0x49, 0x4a].map((address) => bus.device(address));
    const ask = () => wire.clock.settle(Promise.allSettled(devices.map((device) => device.readRegister(0, 2))));
    await ask();
    wire.behaviour = async (address) => {
      if (address !== 0x48) return Uint8Array.of(1, 2);
      await wire.takes(0.05);
      throw systemError("ETIMEDOUT");
    };
    for (let second = 0; second < 3; second += 1) {
      await wire.clock.advanceAsync(1);
      await ask();
    }
    expect(bus.health().stuck).toBe(false);
    await expect(
      wire.clock.settle(Promise.all([devices[1]?.readRegister(0, 2), devices[2]?.readRegister(0, 2)])),
    ).resolves.toHaveLength(2);
  });

  it("is no verdict when a missing acknowledge in between shows free wires", async () => {
    const bus = wire.bus();
    const device = bus.device(0x48);
    const times = wire.behaviour;
    for (const behaviour of [times, times, fails("EREMOTEIO"), times, times]) {
      wire.behaviour = behaviour;
      await expect(wire.clock.settle(device.readRegister(0, 2))).rejects.toThrow();
    }
    expect(bus.health().stuck).toBe(false);
  });

  it("recovers when only some of the chips are asked, and also when only one is", async () => {
    const bus = wire.bus();
    bus.device(0x40);
    for (const asked of [[0x48, 0x49], [0x4a]]) {
      const devices = asked.map((address) => bus.device(address));
      const ask = () => wire.clock.settle(Promise.allSettled(devices.map((device) => device.readRegister(0, 2))));
      const silent = wire.behaviour;
      for (let second = 0; second < 10; second += 1) {
        await ask();
        await wire.clock.advanceAsync(1);
      }
      expect(bus.health().stuck).toBe(true);
      wire.behaviour = async () => Uint8Array.of(1, 2);
      for (let second = 0; second < 3; second += 1) {
        await ask();
        await wire.clock.advanceAsync(1);
      }
      expect(bus.health().stuck).toBe(false);
      wire.behaviour = silent;
    }
  });

  it("is no verdict when a chip is missing and says so by not acknowledging", async () => {
    wire.behaviour = fails("EREMOTEIO");
    const bus = wire.bus();
    for (let read = 0; read < 5; read += 1) {
      await expect(bus.device(0x48).readRegister(0, 2)).rejects.toMatchObject({ code: "NACK" });
    }
    expect(bus.health().stuck).toBe(false);
  });
});

describe("a closed bus", () => {
  it("closes its handle and refuses transfers", async () => {
    const bus = wire.bus();
    const device = bus.device(0x48);
    await device.readRegister(0, 2);
    await bus.close();
    expect(wire.closed).toBe(1);
    await expect(device.readRegister(0, 2)).rejects.toMatchObject({ code: "CLOSED" });
  });
});
