// Which chips may sit at which address, and in which order they are to be asked who they are: those with an identity register
// first, for they only read; those that can only be found plausible last, the one that must be reset for it at the very end.
import { ads1115 } from "./chips/ads1115.ts";
import type { Chip } from "./chips/chip.ts";
import { ina219 } from "./chips/ina219.ts";
import { ina226 } from "./chips/ina226.ts";
import type { ThermometerChip } from "./ports.ts";
import { THERMOMETER_CHIPS } from "./thermometers.ts";

/** What a chip is for, with its name in the configuration. */
export type ChipKind =
  | { readonly kind: "thermometer"; readonly chip: ThermometerChip }
  | { readonly kind: "supply"; readonly chip: "ina219" | "ina226" }
  | { readonly kind: "drive"; readonly chip: "ads1115" };

/** A chip with the addresses that its straps can give it. */
export type Candidate = ChipKind & {
  readonly driver: Chip<unknown>;
  readonly low: number;
  readonly high: number;
  /** True where an identity register, or a serial number with its checksum, says so; false where the answer is only plausible. */
  readonly certain: boolean;
  /** True where the chip acknowledges no read before it was asked for something. */
  readonly quiet?: boolean;
};

const thermometer = (chip: ThermometerChip, low: number, high: number, certain: boolean): Candidate => {
  return { kind: "thermometer", chip, driver: THERMOMETER_CHIPS[chip], low, high, certain };
};

/** Any shunt: who a chip is does not depend on it. */
const SHUNT_OHMS = 0.1;

/** Addresses as the data sheets' tables of straps have them (DS25095, SNOSD82, SBOS854, SBOS547, SHT4x, SHT3x-DIS, SBAS444, SBOS448). */
export const CANDIDATES: readonly Candidate[] = [
  thermometer("mcp9808", 0x18, 0x1f, true),
  thermometer("tmp117", 0x48, 0x4b, true),
  thermometer("tmp1075", 0x48, 0x4f, true),
  { kind: "supply", chip: "ina226", driver: ina226(SHUNT_OHMS), low: 0x40, high: 0x4f, certain: true },
  { ...thermometer("sht4x", 0x44, 0x46, true), quiet: true },
  { ...thermometer("sht3x", 0x44, 0x45, false), quiet: true },
  { kind: "drive", chip: "ads1115", driver: ads1115(0, null), low: 0x48, high: 0x4b, certain: false },
  thermometer("lm75", 0x48, 0x4f, false),
  { kind: "supply", chip: "ina219", driver: ina219(SHUNT_OHMS), low: 0x40, high: 0x4f, certain: false },
];

/** Addresses that modules come with, before anybody has moved a strap; asked first. */
export const USUAL_ADDRESSES: readonly number[] = [0x48, 0x49, 0x4a, 0x4b, 0x40, 0x41, 0x44, 0x45, 0x18, 0x19];

/** Every address at which one of them may be: the usual ones, then the others ascending. */
export const CANDIDATE_ADDRESSES: readonly number[] = [
  ...USUAL_ADDRESSES,
  ...Array.from({ length: 0x78 }, (_, address) => address).filter(
    (address) =>
      !USUAL_ADDRESSES.includes(address) && CANDIDATES.some(({ low, high }) => address >= low && address <= high),
  ),
];
