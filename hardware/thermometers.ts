// From a sensor's place in the configuration to its driver. Nothing is opened or read here.
import { type Chip, fitChip } from "./chips/chip.ts";
import { lm75 } from "./chips/lm75.ts";
import { mcp9808 } from "./chips/mcp9808.ts";
import { sht3x } from "./chips/sht3x.ts";
import { sht4x } from "./chips/sht4x.ts";
import { tmp117 } from "./chips/tmp117.ts";
import { tmp1075 } from "./chips/tmp1075.ts";
import type { I2cDevice } from "./i2c.ts";
import { hwmonThermometer } from "./kernel/hwmon.ts";
import { oneWireThermometer } from "./kernel/one-wire.ts";
import type { Board, ClimateSample, SensorSpec, TemperatureSensor, ThermometerChip } from "./ports.ts";

/** Every thermometer chip by its name in the configuration. A new chip is one file and one line here. */
export const THERMOMETER_CHIPS: Readonly<Record<ThermometerChip, Chip<ClimateSample>>> = {
  lm75,
  tmp1075,
  tmp117,
  mcp9808,
  sht3x,
  sht4x,
};

/** The driver of one sensor; `deviceAt` gives the chip at an address of a bus. */
export function thermometer(
  spec: SensorSpec,
  board: Board,
  deviceAt: (bus: number, address: number) => I2cDevice,
): TemperatureSensor {
  const { name, role, source } = spec;
  switch (source.kind) {
    case "i2c":
      return { ...fitChip(THERMOMETER_CHIPS[source.chip], name, deviceAt(source.bus, source.address)), role };
    case "hwmon":
      return hwmonThermometer(name, role, source.path, board);
    case "one-wire":
      return oneWireThermometer(name, role, source.path, board);
  }
}
