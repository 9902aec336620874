// What a part that could not be found has to do with what is there: the wrong bus, the wrong address, another chip, a bus without
// pull-ups, an interface that is not enabled. It puts words to a survey and touches nothing.

import type { HardwareErrorCode } from "../../hardware/errors.ts";
import { ONE_WIRE_FOLDER } from "../../hardware/kernel/found.ts";
import type { OpenFault } from "../../hardware/open.ts";
import type { HardwareSpec, SensorSpec } from "../../hardware/ports.ts";
import type { FoundChip, Survey } from "../../hardware/survey.ts";

/** Where a part should be. */
type Wanted =
  | SensorSpec["source"]
  | { readonly kind: "i2c"; readonly chip: string; readonly bus: number; readonly address: number };

/** Codes that a look around may explain. */
const EXPLAINED: ReadonlySet<HardwareErrorCode> = new Set([
  "NACK",
  "TIMEOUT",
  "BUS_STUCK",
  "BUS_MISSING",
  "WRONG_DEVICE",
  "FILE_MISSING",
]);

/** Whether it is worth looking around for this. */
export const isExplained = ({ code }: OpenFault): boolean => EXPLAINED.has(code);

/** What to do about a fault, now that it is known what there is; null when the fault's own words are the best there are. */
export function remedyFor(fault: OpenFault, spec: HardwareSpec, survey: Survey): string | null {
  const wanted = wantedOf(fault.name, spec);
  if (wanted === null || !isExplained(fault)) return null;
  switch (wanted.kind) {
    case "i2c":
      return onBus(fault.code, wanted, spec, survey);
    case "one-wire":
      return oneWire(survey);
    case "hwmon":
      return hwmon(survey);
  }
}

function wantedOf(name: string, { sensors, supply, drive }: HardwareSpec): Wanted | null {
  if (name === "supply") return supply === null ? null : { kind: "i2c", ...supply };
  if (name === "drive") return drive === null ? null : { kind: "i2c", ...drive };
  return sensors.find((sensor) => sensor.name === name)?.source ?? null;
}

const hex = (address: number): string => `0x${address.toString(16).padStart(2, "0")}`;

const REST =
  "With the power on and nothing transmitting, SDA and SCL both rest at 3.3 V: where one rests lower, its pull-up is missing or " +
  "something shorts it. Take the sensors off one by one until it comes free; shorten or shield a long cable.";

function onBus(
  code: HardwareErrorCode,
  wanted: Extract<Wanted, { kind: "i2c" }>,
  spec: HardwareSpec,
  survey: Survey,
): string | null {
  const { chip, bus, address } = wanted;
  const here = survey.buses.find((one) => one.bus === bus);
  const moved = movedTo(
    chip,
    address,
    freeChips(survey, spec).filter((found) => found.chip?.chip === chip),
  );
  if (here === undefined) {
    if (survey.buses.length === 0) return null;
    return (
      moved ??
      `This machine has ${survey.buses.map(({ place }) => place).join(", ")}: set bus to the one that is wired.`
    );
  }
  // Nothing else answers either: it is the bus. Some adapters say so of an absent chip, too.
  if ((code === "TIMEOUT" || code === "BUS_STUCK") && !here.chips.some((found) => found.address !== address)) {
    return moved ?? REST;
  }
  const stranger = here.chips.find((found) => found.address === address);
  if (stranger?.chip != null && stranger.chip.chip !== chip) {
    return `${stranger.says} is what answers there. Compare the markings: set chip = "${stranger.chip.chip}", or the address of the right one.`;
  }
  if (moved !== null) return moved;
  if (stranger !== undefined && code === "WRONG_DEVICE") {
    return `What answers there is none of the chips known here, or its wires are disturbed. ${REST}`;
  }
  const others = here.chips.filter((found) => found.address !== address).map(({ place }) => place);
  if (others.length > 0 && code === "WRONG_DEVICE") return null;
  if (others.length > 0) {
    return `The bus itself is well: ${others.join(", ")} answer. Look at this chip alone: its 3.3 V and ground, its four contacts, its address straps.`;
  }
  const elsewhereAt = survey.buses.filter(({ chips }) => chips.length > 0).map(({ place }) => place);
  const hint = elsewhereAt.length === 0 ? "" : ` Chips answer on ${elsewhereAt.join(", ")}: is this the right bus?`;
  return `Nothing at all answers on i2c-${bus}: look at the sensors' 3.3 V and ground, and whether SDA and SCL are exchanged.${hint} ${REST}`;
}

/** Where a chip of this type is instead; null where there is none. */
function movedTo(chip: string, address: number, found: readonly FoundChip[]): string | null {
  const name = chip.toUpperCase();
  const alike = found.filter((one) => one.address === address);
  const [only, another] = alike.length > 0 ? alike : found;
  if (only === undefined) return null;
  if (another === undefined) {
    return `${name} answers at ${only.place}: set bus = ${only.bus} and address = ${hex(only.address)}, or wire it where the config says.`;
  }
  const places = found.map(({ place }) => place).join(", ");
  return `${name} answers at ${places}: set bus and address to the one that is meant, or wire it where the config says.`;
}

/** Chips that no part of the config is about. */
function freeChips({ buses }: Survey, spec: HardwareSpec): readonly FoundChip[] {
  const taken = new Set(
    [...spec.sensors.map(({ source }) => source), spec.supply, spec.drive].flatMap((part) =>
      part !== null && "address" in part ? [`${part.bus} ${part.address}`] : [],
    ),
  );
  return buses.flatMap(({ chips }) => chips.filter(({ bus, address }) => !taken.has(`${bus} ${address}`)));
}

function oneWire({ kernel }: Survey): string {
  const seen = kernel.filter(({ source }) => source.kind === "one-wire").map(({ place }) => place);
  if (seen.length > 0) return `The kernel sees ${seen.join(", ")}: set one_wire to the right one.`;
  return (
    `The kernel sees no thermometer below ${ONE_WIRE_FOLDER}: enable 1-Wire (\`dtoverlay=w1-gpio\` in config.txt on a Raspberry Pi) and reboot; ` +
    "then look at the data line's pull-up of 4.7 kΩ to 3.3 V."
  );
}

function hwmon({ kernel }: Survey): string | null {
  const seen = kernel.filter(({ source }) => source.kind === "hwmon").map(({ place }) => place);
  if (seen.length === 0) return null;
  return `The kernel offers ${seen.join(", ")}. hwmon numbers change from boot to boot: set hwmon to a path with a * in the number's place.`;
}
