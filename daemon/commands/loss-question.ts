// Flags of `emberwire loss` → the question in SI, or one problem. It computes nothing.
import { readMix } from "../config/mix.ts";
import { RequestError } from "../config/problem.ts";
import { quantity } from "../config/quantity.ts";
import { BANDS, bandCentreHertz } from "../core/physics/bands.ts";
import type { Core } from "../core/physics/ferrite.ts";
import { LINE_OHMS, type Load, MATCHED } from "../core/physics/load.ts";
import { type Mix, tableRange } from "../core/physics/mixes/mix.ts";
import { parseToroid, stackOf, TOROID_SPELLING, type Toroid } from "../core/physics/toroids.ts";
import { awgDiameterMeters } from "../core/physics/wire.ts";
import { COMMAND_LINE } from "./figures.ts";

/** As commander hands them over. */
export type LossFlags = {
  readonly mix: string;
  readonly toroids?: string;
  readonly toroid: string;
  readonly turns: string;
  readonly secondaryTurns?: string;
  readonly wire?: string;
  readonly frequency?: string;
  readonly bands?: boolean;
  readonly drive: string;
  readonly swr?: string;
  readonly loadResistance?: string;
  readonly loadReactance?: string;
  readonly core?: string;
  readonly json?: boolean;
};

/** What was asked, in SI. */
export type LossQuestion = {
  readonly core: Core;
  /** One frequency without a name, or each band's centre. */
  readonly at: readonly { readonly band: string | null; readonly frequencyHertz: number }[];
  readonly driveWatts: number;
  readonly load: Load;
  readonly secondaryTurns: number | null;
  readonly wireDiameterMeters: number | null;
  /** null: nothing was said of it, and the table's 25 °C holds. */
  readonly coreCelsius: number | null;
};

/** @throws RequestError at the first flag that cannot be read */
export function readQuestion(flags: LossFlags): LossQuestion {
  const at = (what: string, low: number, high: number, whole = false) => ({
    what,
    where: COMMAND_LINE,
    low,
    high,
    whole,
  });
  const mix = readMix(flags.mix, "--mix", COMMAND_LINE);
  return {
    core: {
      mix,
      toroids: readStack(flags),
      primaryTurns: quantity(flags.turns, "count", at("--turns", 1, 1000, true)),
    },
    at: readFrequencies(flags, mix),
    driveWatts: quantity(flags.drive, "power", at("--drive", 0, 1e5)),
    load: readLoad(flags),
    secondaryTurns:
      flags.secondaryTurns === undefined
        ? null
        : quantity(flags.secondaryTurns, "count", at("--secondary-turns", 1, 1000, true)),
    wireDiameterMeters: flags.wire === undefined ? null : readWire(flags.wire),
    coreCelsius: flags.core === undefined ? null : quantity(flags.core, "temperature", at("--core", -60, 600)),
  };
}

function readFrequencies(flags: LossFlags, mix: Mix): LossQuestion["at"] {
  if ((flags.frequency === undefined) === (flags.bands !== true)) {
    const got = flags.frequency === undefined ? "neither" : "both";
    const expected = "either --frequency or --bands";
    throw new RequestError([{ what: "--frequency", where: COMMAND_LINE, expected, got }]);
  }
  if (flags.frequency !== undefined) {
    const place = { what: "--frequency", where: COMMAND_LINE, low: 1, high: 1e12 };
    return [{ band: null, frequencyHertz: quantity(flags.frequency, "frequency", place) }];
  }
  const { lowHertz, highHertz } = tableRange(mix);
  const reached = BANDS.map((band) => ({ band: band.name, frequencyHertz: bandCentreHertz(band) })).filter(
    ({ frequencyHertz }) => frequencyHertz >= lowHertz && frequencyHertz <= highHertz,
  );
  if (reached.length > 0) return reached;
  const expected = "a mix whose table reaches an amateur band";
  throw new RequestError([{ what: "--bands", where: COMMAND_LINE, expected, got: `mix ${mix.name}` }]);
}

function readStack(flags: LossFlags): readonly Toroid[] {
  const sizes = flags.toroid.split(",").map((size) => {
    const ring = parseToroid(size);
    if (ring === undefined) {
      throw new RequestError([{ what: "--toroid", where: COMMAND_LINE, expected: TOROID_SPELLING, got: `"${size}"` }]);
    }
    return ring;
  });
  const place = { what: "--toroids", where: COMMAND_LINE, low: 1, high: 20, whole: true };
  const count = quantity(flags.toroids ?? String(sizes.length), "count", place);
  if (sizes.length === 1) return stackOf(sizes[0]!, count);
  if (count !== sizes.length) {
    const expected = `as many as sizes are listed (${sizes.length}), or left out`;
    throw new RequestError([{ what: "--toroids", where: COMMAND_LINE, expected, got: String(count) }]);
  }
  return sizes;
}

function readWire(text: string): number {
  const gauge = /^\d+$/.exec(text.trim());
  if (gauge !== null) {
    return awgDiameterMeters(quantity(text, "count", { what: "--wire", where: COMMAND_LINE, low: 0, high: 50 }));
  }
  if (!/^\s*[\d.]/.test(text)) {
    const expected = "an AWG number such as 14, or a diameter such as 1.6mm";
    throw new RequestError([{ what: "--wire", where: COMMAND_LINE, expected, got: JSON.stringify(text) }]);
  }
  return quantity(text, "length", { what: "--wire", where: COMMAND_LINE, low: 1e-5, high: 0.02 });
}

function readLoad(flags: LossFlags): Load {
  const place = (what: string, low: number, high: number) => ({ what, where: COMMAND_LINE, low, high });
  if (flags.loadResistance !== undefined) {
    if (flags.swr !== undefined) {
      const got = "both";
      throw new RequestError([
        { what: "--swr", where: COMMAND_LINE, expected: "either --swr or --load-resistance", got },
      ]);
    }
    return {
      kind: "impedance",
      ohms: {
        real: quantity(flags.loadResistance, "resistance", place("--load-resistance", 0.1, 1e5)),
        imaginary: quantity(flags.loadReactance ?? "0", "resistance", place("--load-reactance", -1e5, 1e5)),
      },
    };
  }
  if (flags.loadReactance !== undefined) {
    const expected = "--load-resistance beside it";
    throw new RequestError([{ what: "--load-reactance", where: COMMAND_LINE, expected, got: "no resistance" }]);
  }
  if (flags.swr === undefined) return MATCHED;
  return { kind: "swr", ratio: quantity(flags.swr, "count", place("--swr", 1, 100)), lineOhms: LINE_OHMS };
}
