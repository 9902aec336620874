// The thermometers against each other: air that leaves the box is not colder than the air that enters, and two that hang in the same
// air agree. A cold box says little, and that is said.

import { HardwareError } from "../../hardware/errors.ts";
import type { Hardware, Role } from "../../hardware/ports.ts";
import { type Finding, wellDone } from "./finding.ts";
import { readOnceReady } from "./look.ts";

/** Outlet below inlet by more than this cannot be noise, K; by more than the second, it is not the sun either. */
const ODD_KELVIN = 1;
const WRONG_KELVIN = 2;
/** Below this rise nobody can tell which is which, K. */
const TELLING_KELVIN = 1;
/** Two that hang in the same air differ by less, K. */
const SAME_AIR_KELVIN = 4;

/** One finding where inlet and outlet can be read, and one for each pair that should agree and does not. */
export async function checkAir({ temperatures, clock }: Hardware): Promise<readonly Finding[]> {
  const readings = await Promise.all(
    temperatures.map(async (sensor) => {
      try {
        return [{ role: sensor.role, name: sensor.name, celsius: (await readOnceReady(sensor, clock)).celsius }];
      } catch (error) {
        // It was told of by the look at the part itself.
        if (error instanceof HardwareError) return [];
        throw error;
      }
    }),
  );
  const known = readings.flat();
  const mean = (role: Role): number | null => {
    const own = known.filter((one) => one.role === role);
    return own.length === 0 ? null : own.reduce((sum, { celsius }) => sum + celsius, 0) / own.length;
  };
  const [inlet, outlet, ambient] = [mean("inlet"), mean("outlet"), mean("ambient")];
  const findings: Finding[] = [];
  if (inlet !== null && outlet !== null) findings.push(checkRise(outlet - inlet));
  if (inlet !== null && ambient !== null && Math.abs(inlet - ambient) > SAME_AIR_KELVIN) {
    findings.push(apart("inlet and ambient", inlet - ambient));
  }
  for (const role of ["inlet", "outlet", "ambient", "core"] as const) {
    const own = known.filter((one) => one.role === role).toSorted((a, b) => a.celsius - b.celsius);
    const [low, high] = [own[0], own.at(-1)];
    if (low === undefined || high === undefined || high.celsius - low.celsius <= SAME_AIR_KELVIN) continue;
    findings.push(apart(`${low.name} and ${high.name}`, high.celsius - low.celsius));
  }
  return findings;
}

const PLACE = "inlet, outlet";

function checkRise(riseKelvin: number): Finding {
  const rise = Math.abs(riseKelvin).toFixed(1);
  if (riseKelvin < -ODD_KELVIN) {
    const remedy =
      "Warm the inlet's sensor with a finger: if the outlet's number rises, exchange the two roles in the config (`emberwire init` tells " +
      "them apart). If not, the fan blows the other way, or the inlet's sensor is in the sun.";
    const verdict = riseKelvin < -WRONG_KELVIN ? "bad" : "warning";
    return { what: "air", place: PLACE, verdict, says: `the outlet is ${rise} K colder than the inlet`, remedy };
  }
  if (riseKelvin < TELLING_KELVIN) {
    return wellDone("air", PLACE, `within ${TELLING_KELVIN} K of each other: a cold box does not tell which is which`);
  }
  return wellDone("air", PLACE, `the outlet is ${rise} K warmer than the inlet`);
}

function apart(place: string, kelvin: number): Finding {
  const says = `${Math.abs(kelvin).toFixed(1)} K apart, though they hang in the same air`;
  const remedy =
    "Compare both with another thermometer; look for sun on one of them, and for a chip of another type than configured.";
  return { what: "air", place, verdict: "warning", says, remedy };
}
