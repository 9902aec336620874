// Completed cycles as the heartbeat publishes them, an hour at a time, with the numbers of the made season.

import { good, type Reading } from "../../../daemon/core/readings.ts";
import type { Beat } from "../../../daemon/crossing/messages.ts";
import { HOUR_SECONDS } from "../../../daemon/season/segment.ts";
import { plainBeat } from "../../support/beat.ts";
import type { MadeSeason } from "../../support/made-season.ts";

/** The checkpoint's size in a running daemon, as text that packs like one. */
export const CHECKPOINT = JSON.stringify({
  bands: Array.from({ length: 11 }, (_, index) => ({ band: `${160 - index} m`, lnKappa: Math.sin(index), u: 0.15 })),
  covariance: Array.from({ length: 24 }, (_, index) => Math.cos(index) / 7),
});

/** `firstNumber` is the number of the hour's first cycle. */
export function beatsOf(season: MadeSeason, hour: number, firstNumber: number): Beat[] {
  const { numbers, texts } = season.hour(hour);
  const reading = (name: string, row: number): Reading => good(numbers[name]![row]!);
  return Array.from({ length: HOUR_SECONDS }, (_, row): Beat => {
    const at = (name: string): number => numbers[name]![row]!;
    const plain = plainBeat(firstNumber + row);
    const { outlook } = plain;
    const keyed = at("transmitting") === 1;
    return {
      ...plain,
      wallSeconds: hour * HOUR_SECONDS + row,
      driven: true,
      cycleSeconds: 0.004,
      outlook: {
        ...outlook,
        atSeconds: firstNumber + row,
        readings: {
          ...outlook.readings,
          inlet: reading("inlet_celsius", row),
          outlet: reading("outlet_celsius", row),
          wall: reading("wall_celsius", row),
          ambient: reading("ambient_celsius", row),
          humidityRatio: reading("humidity_ratio", row),
          fan: {
            rpm: reading("fan_rpm", row),
            regularity: 0.99,
            rejectedEdges: 0,
            lostEdges: 0,
            secondsSinceEdge: 0.002,
          },
          supplyVolts: reading("fan_volts", row),
          supplyAmperes: reading("fan_amperes", row),
          drive: {
            watts: reading("drive_watts", row),
            frequencyHertz: keyed ? at("frequency_hertz") : null,
            mode: texts["mode"]![row]!,
            transmitting: keyed,
          },
        },
        estimate: {
          ...outlook.estimate,
          coreCelsius: at("core_celsius"),
          coreUpperCelsius: at("core_upper_celsius"),
          lossWatts: at("loss_watts"),
          airflowCubicMetersPerSecond: at("airflow_cubic_meters_per_second"),
          flowFactor: at("flow_factor"),
        },
      },
    };
  });
}
