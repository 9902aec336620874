// Nonsense where numbers should be: kernel files that hold infinities, not-a-number, other people's text or nothing; registers
// that read all ones, all zeros or an end of the scale. Nothing of it is shown as a temperature, and no core gets hot by it.

import { afterAll, expect, it } from "vitest";
import { parseConfig } from "../../daemon/config/parse.ts";
import type { Quality } from "../../daemon/core/readings.ts";
import type { Board, I2cHandle } from "../../hardware/ports.ts";
import { Invariants } from "./campaign/invariants.ts";
import { drawnScene, plainScene } from "./campaign/scenes.ts";
import { SEED, sized } from "./campaign/size.ts";
import { Tally } from "./campaign/tally.ts";
import { Trial } from "./campaign/trial.ts";

const tally = new Tally("nonsense");
afterAll(() => tally.print());

const FROM_SECONDS = 10;
const FOR_SECONDS = 20;
const AFTER_SECONDS = 20;

const TEXTS = [
  "",
  "\n",
  "inf",
  "-inf",
  "nan",
  "1e309",
  "21.5",
  "0x5208",
  "21500 21500",
  "99999999999999999999",
  "-274000",
  "201000",
  "85000",
  "127937",
  "\u0000\u0000\u0000",
  "<html>",
  "none yet : crc=00 NO\nt=21500",
  "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0",
  "50 05 4b 46 7f ff 0c 10 1c : crc=1c YES\n50 05 4b 46 7f ff 0c 10 1c t=85000",
  "9".repeat(1_000_000),
] as const;

const KERNEL_CONFIG = `
[transformer]
mix = "43"
toroids = 3
primary_turns = 3
[tach]
hwmon = "/sys/class/hwmon/hwmon2/fan1_input"
[relay]
reduce = 23
inhibit = 24
[[sensor]]
name = "inlet"
role = "inlet"
one_wire = "/sys/bus/w1/devices/28-00000a1b2c3d"
[[sensor]]
name = "outlet"
role = "outlet"
one_wire = "/sys/bus/w1/devices/28-00000a1b2c3e/temperature"
[[sensor]]
name = "wall"
role = "wall"
hwmon = "/sys/class/hwmon/hwmon1/temp1_input"
`;
const VALUE_FILES = /(w1_slave|temperature|_input)$/;

/** The same board, whose kernel files hold `text` while it is time. */
const withText =
  (text: string) =>
  (board: Board): Board => ({
    ...board,
    readText: async (path) => {
      const right = await board.readText(path);
      const elapsed = board.clock.monotonicSeconds() - STARTS_AT_SECONDS;
      const now = elapsed >= FROM_SECONDS && elapsed < FROM_SECONDS + FOR_SECONDS;
      return now && VALUE_FILES.test(path) ? text : right;
    },
  });
/** What a simulated board's clock shows at its beginning. */
const STARTS_AT_SECONDS = 120;

it.each(TEXTS.map((text) => [JSON.stringify(text.slice(0, 30)), text]))("in kernel files: %s", async (label, text) => {
  const read = parseConfig(KERNEL_CONFIG, "kernel.toml");
  const trial = await Trial.open({ scenario: plainScene(), seed: 1, read, beneath: withText(text) });
  const invariants = new Invariants(trial);
  await trial.run(FROM_SECONDS, invariants.look);
  const before = good(trial);
  await trial.run(FOR_SECONDS - 1, invariants.look);
  // 85.000 °C is a right number in a hwmon file; that the air cannot have got there so fast makes it a doubted one.
  const during = good(trial);
  await trial.run(1 + AFTER_SECONDS, invariants.look);
  const after = good(trial, ["good", "suspect"]);
  await trial.close();
  const wrongs = [...invariants.wrongs];
  if (before.length < 3) wrongs.push("not all was read before");
  if (during.length > 0) wrongs.push(`shown as good meanwhile: ${during.join(", ")}`);
  if (after.length < 3) wrongs.push(`only ${after.join(", ")} read again afterwards`);
  tally.count(label, 3, wrongs, invariants.cycles);
  expect(wrongs).toEqual([]);
});

function good(trial: Trial, qualities: readonly Quality[] = ["good"]): string[] {
  const { inlet, outlet, wall } = trial.newest!.outlook.readings;
  return Object.entries({ inlet, outlet, wall }).flatMap(([name, reading]) =>
    reading !== null && qualities.includes(reading.quality) ? [name] : [],
  );
}

const WORDS = [0x0000, 0xffff, 0x7fff, 0x8000, 0x00ff, 0xff00] as const;
const ADDRESSES = { inlet: 0x48, outlet: 0x49, wall: 0x18, drive: 0x4a, supply: 0x40 } as const;

/** The same board, on which every register of one chip reads one word from some moment on. */
const withWord =
  (address: number, word: number) =>
  (board: Board): Board => {
    const spoiled = (asked: number, right: Uint8Array): Uint8Array => {
      const late = board.clock.monotonicSeconds() - STARTS_AT_SECONDS > FROM_SECONDS;
      return asked === address && late ? right.map((_, at) => (at % 2 === 0 ? word >> 8 : word & 0xff)) : right;
    };
    return {
      ...board,
      i2c: async (bus): Promise<I2cHandle> => {
        const handle = await board.i2c(bus);
        return {
          write: (to, bytes) => handle.write(to, bytes),
          close: () => handle.close(),
          read: async (from, length) => spoiled(from, await handle.read(from, length)),
          readRegister: async (from, register, length) =>
            spoiled(from, await handle.readRegister(from, register, length)),
        };
      },
    };
  };

it.each(Object.entries(ADDRESSES))(
  "in the registers of the chip %s",
  async (part, address) => {
    for (const word of WORDS) {
      for (let scene = 0; scene < sized(1, 5); scene += 1) {
        const scenario = drawnScene(SEED * 100 + scene);
        const trial = await Trial.open({ scenario, seed: 1, beneath: withWord(address, word) });
        const invariants = new Invariants(trial);
        await trial.run(sized(60, 300), invariants.look);
        await trial.close();
        // A chip that tells one untruth for ever is found out by its alarms and outvoted, not by its number alone.
        const wrongs = invariants.wrongs.filter((wrong) => !wrong.includes(`${part} `));
        tally.count(`${part} ${word.toString(16)} scene ${scene}`, 1, wrongs, invariants.cycles);
      }
    }
    expect(tally.wrongs).toEqual([]);
  },
  120_000,
);
