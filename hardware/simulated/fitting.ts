// Which simulated chip stands where: from the plain specification of a feedpoint to chips soldered on simulated buses.
// The chips feel the truth through their probes; nothing here knows a register.

import type { HardwareSpec, SensorSpec, ThermometerChip } from "../ports.ts";
import { type BusOptions, SimulatedBus } from "./bus.ts";
import { ads1115 } from "./chips/ads1115.ts";
import type { BusDevice } from "./chips/device.ts";
import { ina219, ina226 } from "./chips/ina.ts";
import { lm75, tmp1075 } from "./chips/lm75.ts";
import { mcp9808 } from "./chips/mcp9808.ts";
import { type ClimateProbe, sht3x, sht4x } from "./chips/sht.ts";
import { tmp117 } from "./chips/tmp117.ts";
import type { FaultScript } from "./faults.ts";
import type { SimulatedFeedpoint } from "./feedpoint.ts";
import type { Random } from "./random.ts";

const THERMOMETERS: Readonly<Record<ThermometerChip, (probe: ClimateProbe) => BusDevice>> = {
  lm75,
  tmp1075,
  tmp117,
  mcp9808,
  sht3x: (probe) => sht3x(probe),
  sht4x: (probe) => sht4x(probe),
};

/** What the chips need of the board. */
export type FittingOptions = {
  readonly spec: HardwareSpec;
  readonly probeOf: (sensor: SensorSpec) => ClimateProbe;
  readonly feedpoint: SimulatedFeedpoint;
  readonly faults: FaultScript;
  readonly random: Random;
  readonly now: () => number;
  readonly detectorVolts: (watts: number) => { readonly forward: number; readonly reflected: number };
};

/** All buses of the specification with their chips; others do not exist. */
export function fitChips(
  options: FittingOptions,
  busOptions: Omit<BusOptions, "number" | "random">,
): ReadonlyMap<number, SimulatedBus> {
  const { spec, random } = options;
  const buses = new Map<number, SimulatedBus>();
  const solder = (bus: number, address: number, part: string, make: (now: () => number) => BusDevice): void => {
    const adapter =
      buses.get(bus) ?? new SimulatedBus({ ...busOptions, number: bus, random: random.fork(`bus ${bus}`) });
    buses.set(bus, adapter);
    adapter.solder(address, part, withPowerLoss(part, make, options));
  };
  for (const sensor of spec.sensors) {
    if (sensor.source.kind !== "i2c") continue;
    const probe = options.probeOf(sensor);
    const make = THERMOMETERS[sensor.source.chip];
    solder(sensor.source.bus, sensor.source.address, sensor.name, (now) => make({ ...probe, now }));
  }
  const { supply, drive } = spec;
  if (supply !== null) {
    const noise = random.fork("supply");
    const make = supply.chip === "ina219" ? ina219 : ina226;
    const busVolts = (): number => options.feedpoint.truth().supplyVolts + 0.004 * noise.normal();
    const shuntVolts = (): number =>
      (options.feedpoint.truth().supplyAmperes + 0.001 * noise.normal()) * supply.shuntOhms;
    solder(supply.bus, supply.address, "supply", (now) => make({ now, busVolts, shuntVolts }));
  }
  if (drive !== null) {
    const noise = random.fork("drive");
    const volts = (input: number): number => {
      const detected = options.detectorVolts(options.feedpoint.station().watts);
      const clean =
        input === drive.forwardChannel ? detected.forward : input === drive.reflectedChannel ? detected.reflected : 0;
      return clean + 0.0005 * noise.normal();
    };
    solder(drive.bus, drive.address, "drive", (now) => ads1115({ now, volts }));
  }
  return buses;
}

/** A chip that, while the script says so, is one that has just been powered and never gets on. */
function withPowerLoss(
  part: string,
  make: (now: () => number) => BusDevice,
  options: Pick<FittingOptions, "faults" | "now">,
): BusDevice {
  let device = make(options.now);
  let reset: BusDevice | null = null;
  const current = (): BusDevice => {
    if (options.faults.ofPart("power-on value", part) !== null) {
      const since = options.now();
      reset ??= make(() => since);
      return reset;
    }
    // Power is back: the chip begins anew.
    if (reset !== null) device = make(options.now);
    reset = null;
    return device;
  };
  return { write: (bytes) => current().write(bytes), read: (length) => current().read(length) };
}
