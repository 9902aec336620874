// The LM75 and its descendant TMP1075 at register level (STLM75 and TMP1075 data sheets): same pointer map; the LM75 has
// nine bits and no identity, the TMP1075 twelve bits, a sixteen-bit configuration and a die identity. No alert output.

import { type BusDevice, fromBytes, HeldConversion, type Probe, pointerDevice, steps, word } from "./device.ts";

type Family = {
  readonly lsbCelsius: number;
  /** Bits below the result in its 16-bit word. */
  readonly shift: number;
  readonly conversionSeconds: number;
  readonly dieId: number | null;
};

const LM75: Family = { lsbCelsius: 0.5, shift: 7, conversionSeconds: 0.15, dieId: null };
const TMP1075: Family = { lsbCelsius: 0.0625, shift: 4, conversionSeconds: 0.0275, dieId: 0x7500 };

/** An LM75 that has just been powered; its temperature register holds 0 °C until the first conversion. */
export const lm75 = (probe: Probe): BusDevice => build(probe, LM75);

/** A TMP1075 that has just been powered. */
export const tmp1075 = (probe: Probe): BusDevice => build(probe, TMP1075);

function build(probe: Probe, family: Family): BusDevice {
  const span = 128 / family.lsbCelsius;
  const take = (): number => steps(probe.celsius(), family.lsbCelsius, -span, span - 1);
  const conversion = new HeldConversion(probe.now, take, family.conversionSeconds, family.conversionSeconds);
  // TMP1075: one byte of settings, the low byte reads all ones; hysteresis 75 °C, limit 80 °C in both.
  let configuration = 0x00;
  let hysteresis = 0x4b00;
  let limit = 0x5000;

  function get(register: number): readonly number[] {
    switch (register) {
      case 0x00: {
        const held = conversion.latest();
        return word(held === null ? 0 : held << family.shift);
      }
      case 0x01:
        return family.dieId === null ? [configuration] : [configuration, 0xff];
      case 0x02:
        return word(hysteresis);
      case 0x03:
        return word(limit);
      case 0x0f:
        if (family.dieId !== null) return word(family.dieId);
        return get(register & 0x03);
      default:
        // The LM75 decodes two pointer bits only; the TMP1075 answers zeros.
        return family.dieId === null ? get(register & 0x03) : [0x00, 0x00];
    }
  }
  function set(register: number, bytes: readonly number[]): void {
    if (register === 0x01) {
      const before = configuration;
      configuration = (bytes[0] ?? 0) & (family.dieId === null ? 0x1f : 0xff);
      const asleep = (configuration & 0x01) !== 0;
      const oneShot = family.dieId !== null && asleep && (configuration & 0x80) !== 0;
      if (oneShot) conversion.restart(family.conversionSeconds, Number.POSITIVE_INFINITY);
      else if (asleep && (before & 0x01) === 0) conversion.restart(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY);
      else if (!asleep && (before & 0x01) !== 0) conversion.restart(family.conversionSeconds, family.conversionSeconds);
      // The one-shot bit reads zero.
      if (family.dieId !== null) configuration &= 0x7f;
    } else if (register === 0x02) hysteresis = fromBytes(bytes);
    else if (register === 0x03) limit = fromBytes(bytes);
  }
  return pointerDevice({ get, set });
}
