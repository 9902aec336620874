// The feedpoint's parts, each asked once: what it said it is, and one reading. It opens nothing and permits nothing.

import { HardwareError } from "../../hardware/errors.ts";
import type { OpenResult } from "../../hardware/open.ts";
import type { Hardware } from "../../hardware/ports.ts";
import { type Finding, troubled, wellDone } from "./finding.ts";
import { badPart, type Look } from "./look.ts";

/** Findings about every part that is configured, in the order of the wiring; fan and its supply are watched elsewhere. */
export async function checkParts({ hardware, faults }: OpenResult, look: Look): Promise<readonly Finding[]> {
  const { drive, ptt } = hardware;
  return [
    ...(await Promise.all(
      hardware.temperatures.map((sensor) =>
        look(sensor, ({ celsius, humidityRatio }) =>
          humidityRatio === null
            ? `${celsius.toFixed(2)} °C`
            : `${celsius.toFixed(2)} °C, ${(100 * humidityRatio).toFixed(0)} % relative humidity`,
        ),
      ),
    )),
    ...(drive === null
      ? []
      : [await look(drive, ({ forwardVolts }) => `detector at ${forwardVolts.toFixed(3)} V forward`)]),
    ...(ptt === null ? [] : [await look(ptt, ({ keyed }) => (keyed ? "keyed" : "not keyed"))]),
    await checkRelay(
      hardware,
      faults.find(({ name }) => name === "relay"),
    ),
    ...OUTPUTS.flatMap(({ what, lineOf, says }) => {
      const line = lineOf(hardware);
      return line === null ? [] : [wellDone(what, line.place, says)];
    }),
    ...hardware.buses().map(busFinding),
  ];
}

type Output = {
  readonly what: string;
  readonly lineOf: (hardware: Hardware) => { readonly place: string } | null;
  /** What a person sees or hears while it is low, as opening left it. */
  readonly says: string;
};

/** Outputs that tell nothing back. One that could not be opened is not there, and is told of as a fault. */
const OUTPUTS: readonly Output[] = [
  { what: "buzzer", lineOf: ({ buzzer }) => buzzer, says: "low: it must be silent now" },
  { what: "fan_cut", lineOf: ({ fanCut }) => fanCut, says: "low: the fan must have its supply now" },
  { what: "pulse", lineOf: ({ pulse }) => pulse, says: "low and still: the one-shot must have let go by now" },
];

/** Both lines read back released: opening released them, and a checkup never permits power. */
async function checkRelay({ relay }: Hardware, fault: OpenResult["faults"][number] | undefined): Promise<Finding> {
  if (relay === null) {
    const remedy = "Add a [relay] table, or accept that the daemon only warns.";
    const says = "none is configured, so nothing takes the power off";
    return { what: "relay", place: "config", verdict: "warning", says, remedy };
  }
  if (fault !== undefined) return troubled("relay", relay.place, fault);
  try {
    const { reduce, inhibit } = await relay.readBack();
    if (!reduce && !inhibit)
      return wellDone("relay", relay.place, "both lines read back released: no relay may be pulled in now");
    const line = reduce ? "reduce" : "inhibit";
    throw new HardwareError("READBACK", relay.place, `${line} reads energised after it was released`);
  } catch (error) {
    return badPart("relay", relay.place, error);
  }
}

function busFinding({ bus, transfers, retries, errors, stuck }: ReturnType<Hardware["buses"]>[number]): Finding {
  const count = Object.values(errors).reduce((sum, one) => sum + one, 0);
  const says = `${transfers} transfers, ${retries} retries, ${count} errors`;
  if (stuck) {
    const remedy = new HardwareError("BUS_STUCK", bus).remedy;
    return { what: "bus", place: bus, verdict: "bad", says: `held low; ${says}`, remedy };
  }
  return wellDone("bus", bus, says);
}
