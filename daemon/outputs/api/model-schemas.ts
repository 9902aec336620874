// The guided heat run and the model in use as zod schemas, for the description of the interface.

import * as z from "zod";
import type { RatingBasis } from "../../core/physics/rating.ts";
import type { WireHeatRun } from "../../wire/heat-run.ts";
import { describes } from "./describes.ts";

const number = z.number();
const spot = z.object({ at_seconds: number, celsius: number });

export const heatRunSchema = describes<WireHeatRun>()(
  z.object({
    stage: z.enum(["idle", "prepare", "key-down", "fan-off", "cool-down", "fitting", "result", "refused", "accepted"]),
    planned_watts: number,
    stage_seconds: number.describe("seconds in this stage"),
    target_seconds: number.describe("how long it should last"),
    transmitting: z.boolean(),
    recorded_seconds: number,
    unkeyed_seconds: number.nullable().describe("since unkeying, while a core reading is asked for"),
    spots: z.array(spot),
    halted: z.string().nullable(),
    fan_off: z.boolean().describe("a part with the fan stopped was asked for"),
    fan_turning: z.boolean(),
    fan_may_stop: z.boolean().describe("the core is cool enough to stop the fan"),
    fan_must_turn: z.boolean().describe("the fan is to be switched on again"),
    fan_off_celsius: number.describe("upper bound at which the fan must turn again"),
    cut_off: z.string().nullable().describe("why an earlier run could not be gone on with"),
    converging: z.array(z.object({ name: z.string(), value: number, settled: z.boolean() })),
    refusals: z.array(z.string()),
    result: z
      .object({
        calibration: z.enum(["calibrated", "not calibrated"]),
        outlet_residual_kelvin: number,
        rise_uncertainty_ratio: number,
        in_use_rise_uncertainty_ratio: number,
        quantities: z.array(
          z.object({
            name: z.string(),
            unit: z.string(),
            in_use: number,
            value: number,
            standard_uncertainty: number,
            identified: z.boolean(),
          }),
        ),
        spots: z.array(spot.extend({ fitted_celsius: number })),
      })
      .nullable(),
  }),
);

const constant = z.object({ value: number, uncertaintyRatio: number });

const model = z.object({
  version: z.literal(1),
  calibration: z.enum(["calibrated", "not calibrated"]),
  origin: z.string(),
  nominalRpm: number,
  pressurePascals: number,
  constants: z.object({
    coreHeatCapacityJoulesPerKelvin: constant,
    wallHeatCapacityJoulesPerKelvin: constant,
    coreToAirWattsPerKelvin: constant,
    airHeatFlowWattsPerKelvin: constant,
    airToWallWattsPerKelvin: constant,
    wallToOutsideWattsPerKelvin: constant,
    coreToWallWattsPerKelvin: constant,
    coreToAirFanOffWattsPerKelvin: constant,
    airToWallFanOffWattsPerKelvin: constant,
    airHeatFlowFanOffWattsPerKelvin: constant,
    outletLagSeconds: constant,
    outletLagFanOffSeconds: constant,
  }),
  bands: z.array(
    z.object({
      band: z.string(),
      lowHertz: number,
      highHertz: number,
      lossFraction: number,
      kappa: number,
      kappaUncertainty: number,
    }),
  ),
  hotSpot: z.object({ kelvin: number, uncertaintyKelvin: number }),
  collapse: z.object({ celsius: number, widthKelvin: number, gain: number }),
  riseUncertaintyRatio: z.object({ fanOn: number, fanOff: number }),
});

const mix = z.object({
  name: z.string(),
  source: z.string(),
  curieCelsius: number.nullable(),
  densityKilogramsPerCubicMeter: number.nullable(),
  resistivityOhmMeters: number.nullable(),
  saturationTeslaAt25Celsius: number.nullable(),
  saturationTeslaAt100Celsius: number.nullable(),
  initialPermeability: number.nullable(),
  temperatureCoefficientPerKelvin: number.nullable(),
  initialPermeabilityPoints: z.array(z.tuple([number, number])).describe("degrees Celsius, permeability"),
  permeabilityPoints: z.array(z.tuple([number, number, number])).describe("hertz, real, imaginary"),
});

const toroid = z.object({
  outsideDiameterMeters: number,
  insideDiameterMeters: number,
  heightMeters: number,
  areaSquareMeters: number,
  pathMeters: number,
  volumeCubicMeters: number,
});

export const ratingBasisSchema = describes<RatingBasis>()(
  z.object({
    model,
    core: z.object({ mix, toroids: z.array(toroid), primaryTurns: number }),
    winding: z
      .object({ primaryTurns: number, secondaryTurns: number, wireDiameterMeters: number, leadMeters: number })
      .nullable()
      .describe("null when it is not known"),
    limitCelsius: number,
    outletCelsius: number,
  }),
);
