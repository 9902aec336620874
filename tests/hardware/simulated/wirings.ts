// Two wirings that many tests share: that of the demo, and one with every make of thermometer. No assertions here.

import type { HardwareSpec } from "../../../hardware/ports.ts";

/** As the demo config wires it: two air sensors, the wall, outside air with humidity, tach, supply, drive detector, two permit lines. */
export const DEMO_SPEC: HardwareSpec = {
  sensors: [
    { name: "inlet", role: "inlet", source: { kind: "i2c", chip: "tmp117", bus: 1, address: 0x48 } },
    { name: "outlet", role: "outlet", source: { kind: "i2c", chip: "tmp117", bus: 1, address: 0x49 } },
    { name: "wall", role: "wall", source: { kind: "i2c", chip: "mcp9808", bus: 1, address: 0x18 } },
    { name: "ambient", role: "ambient", source: { kind: "i2c", chip: "sht4x", bus: 1, address: 0x44 } },
  ],
  tachometer: { kind: "gpio", line: { chipLabel: null, offset: 17 }, bias: "pull-up", pulsesPerRevolution: 2 },
  supply: { chip: "ina219", bus: 1, address: 0x40, shuntOhms: 0.1 },
  drive: { chip: "ads1115", bus: 1, address: 0x4a, forwardChannel: 0, reflectedChannel: 1 },
  relay: { reduce: { chipLabel: null, offset: 23 }, inhibit: { chipLabel: null, offset: 24 } },
  ptt: null,
  buzzer: null,
  fanCut: null,
  pulse: null,
};

/** Twelve sensors of every supported make on two buses and in the kernel, for the bench. */
export const TWELVE_SENSOR_SPEC: HardwareSpec = {
  ...DEMO_SPEC,
  sensors: [
    ...DEMO_SPEC.sensors,
    { name: "inlet left", role: "inlet", source: { kind: "i2c", chip: "tmp1075", bus: 1, address: 0x4c } },
    { name: "inlet right", role: "inlet", source: { kind: "i2c", chip: "lm75", bus: 1, address: 0x4d } },
    { name: "outlet left", role: "outlet", source: { kind: "i2c", chip: "tmp1075", bus: 3, address: 0x48 } },
    { name: "outlet right", role: "outlet", source: { kind: "i2c", chip: "tmp117", bus: 3, address: 0x49 } },
    { name: "wall low", role: "wall", source: { kind: "i2c", chip: "mcp9808", bus: 3, address: 0x19 } },
    { name: "shade", role: "ambient", source: { kind: "i2c", chip: "sht3x", bus: 3, address: 0x44 } },
    { name: "wall high", role: "wall", source: { kind: "hwmon", path: "/sys/class/hwmon/hwmon1/temp1_input" } },
    { name: "gate post", role: "ambient", source: { kind: "hwmon", path: "/sys/class/hwmon/hwmon2/temp1_input" } },
  ],
};
