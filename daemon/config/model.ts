// Config → the model of the feedpoint as geometry and tables have it: mix, toroids, turns, altitude, fan.
// It fits nothing: a model from a heat run replaces what stands here.

import { type Model, modelFromPriors } from "../core/estimate/model.ts";
import { pressureAtAltitudePascals } from "../core/physics/air.ts";
import { BANDS, bandCentreHertz, bandEdges, type Region } from "../core/physics/bands.ts";
import { copperLoss } from "../core/physics/copper.ts";
import { type Core, coreLoss } from "../core/physics/ferrite.ts";
import { MATCHED, voltsSquaredPerWatt } from "../core/physics/load.ts";
import { type Mix, tableRange } from "../core/physics/mixes/mix.ts";
import { parseToroid, stackOf, stackVolumeCubicMeters, TOROID_SPELLING } from "../core/physics/toroids.ts";
import { readMix } from "./mix.ts";
import type { ReadConfig } from "./parse.ts";
import { RequestError } from "./problem.ts";

/** Temperature at which copper counts for the table: warm, where its loss is the larger. */
const COPPER_CELSIUS = 60;

/** @throws RequestError when the mix or the toroid is not known */
export function coreOf({ config, placeOf }: ReadConfig): Core {
  const { mix, toroid, toroids, primary_turns, curie } = config.transformer;
  const ring = parseToroid(toroid);
  if (ring === undefined) {
    const where = placeOf(["transformer", "toroid"]);
    throw new RequestError([{ what: "transformer.toroid", where, expected: TOROID_SPELLING, got: `"${toroid}"` }]);
  }
  const scalars = curie === undefined ? {} : { curieCelsius: curie };
  const material = readMix(mix, "transformer.mix", placeOf(["transformer", "mix"]), scalars);
  return { mix: withCurie(material, curie), toroids: stackOf(ring, toroids), primaryTurns: primary_turns };
}

function withCurie(mix: Mix, curieCelsius: number | undefined): Mix {
  return curieCelsius === undefined ? mix : { ...mix, curieCelsius };
}

/** Loss over drive at one frequency, core and (where the winding is known) copper. */
export function lossFractionAt(config: ReadConfig["config"], core: Core, frequencyHertz: number): number {
  const { primary_turns, secondary_turns, wire_diameter } = config.transformer;
  const fraction = coreLoss(core, frequencyHertz, 1).lossFraction;
  if (secondary_turns === undefined || wire_diameter === undefined) return fraction;
  const winding = {
    primaryTurns: primary_turns,
    secondaryTurns: secondary_turns,
    wireDiameterMeters: wire_diameter,
    leadMeters: 0,
  };
  const { low } = voltsSquaredPerWatt(MATCHED);
  return fraction + copperLoss(winding, core.toroids, frequencyHertz, 1, low, COPPER_CELSIUS).lossWatts;
}

/** The model before any heat run. */
export function modelOf(read: ReadConfig): Model {
  const { config } = read;
  const core = coreOf(read);
  const range = tableRange(core.mix);
  const region = config.station.region === undefined ? undefined : (Number(config.station.region) as Region);
  const bands = BANDS.flatMap((band) => {
    const centre = bandCentreHertz(band, region);
    // Outside the mix's table nothing is known of a band, and nothing is made up.
    if (centre < range.lowHertz || centre > range.highHertz) return [];
    return [{ band: band.name, ...bandEdges(band, region), lossFraction: lossFractionAt(config, core, centre) }];
  });
  return modelFromPriors({
    bands,
    nominalRpm: config.fan.nominal_speed,
    coreMassRatio: stackVolumeCubicMeters(core.toroids) / stackVolumeCubicMeters(stackOf(usualRing(), 3)),
    pressurePascals: pressureAtAltitudePascals(config.feedpoint.altitude),
  });
}

/** The ring the priors of the heat capacity stand on. */
function usualRing() {
  const ring = parseToroid("61.0x35.55x12.7mm");
  if (ring === undefined) throw new TypeError("the usual ring is not in the table");
  return ring;
}
