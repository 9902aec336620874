// I²C adapters that end a call with a timeout: for an absent address, as that of the emulated i.MX6 does where others report a missing
// acknowledge at once; or for a chip, for a while.

import { pause } from "../../hardware/clock.ts";
import type { Board, I2cHandle } from "../../hardware/ports.ts";

/** A call that ends with a timeout takes about this long. */
const MUTE_SECONDS = 0.33;

type Transfer = <T>(address: number, work: () => Promise<T>) => Promise<T>;

const timeout = (): Error =>
  Object.assign(new Error("ETIMEDOUT, transfer"), { code: "ETIMEDOUT", syscall: "transfer" });

function withTransfers(board: Board, transfer: Transfer): Board {
  return {
    ...board,
    clock: board.clock,
    i2c: async (bus): Promise<I2cHandle> => {
      const handle = await board.i2c(bus);
      return {
        readRegister: (address, register, length) =>
          transfer(address, () => handle.readRegister(address, register, length)),
        write: (address, bytes) => transfer(address, () => handle.write(address, bytes)),
        read: (address, length) => transfer(address, () => handle.read(address, length)),
        close: () => handle.close(),
      };
    },
  };
}

/** The same board where an absent address is met with silence; `asked` hears each address that is asked. */
export function withMuteAdapter(board: Board, asked: (address: number) => void = () => undefined): Board {
  return withTransfers(board, async (address, work) => {
    asked(address);
    try {
      return await work();
    } catch (cause) {
      if ((cause as { code?: unknown }).code !== "EREMOTEIO") throw cause;
      await pause(board.clock, MUTE_SECONDS);
      throw timeout();
    }
  });
}

/** The same board where the first `count` transfers to an address end with a timeout. */
export function withSlowTransfers(board: Board, slow: number, count: number): Board {
  let left = count;
  return withTransfers(board, async (address, work) => {
    if (address !== slow || left === 0) return work();
    left -= 1;
    await pause(board.clock, MUTE_SECONDS);
    throw timeout();
  });
}
