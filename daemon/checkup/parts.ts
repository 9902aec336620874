// The feedpoint's parts, each asked once: what it said it is, and one reading. It opens nothing and permits nothing.

import { pause } from "../../hardware/clock.ts";
import { HardwareError } from "../../hardware/errors.ts";
import type { OpenResult } from "../../hardware/open.ts";
import type { Clock, Hardware, Part } from "../../hardware/ports.ts";
import { type Finding, wellDone } from "./finding.ts";

/** Findings about every part that is configured, in the order of the wiring. */
export async function checkParts({ hardware, identities, faults }: OpenResult): Promise<readonly Finding[]> {
  const failed = new Map(faults.map((fault) => [fault.name, fault]));
  const look = async <Sample>(part: Part<Sample>, words: (sample: Sample) => string): Promise<Finding> => {
    const { name, place } = part;
    const fault = failed.get(name);
    if (fault !== undefined) return { what: name, place, verdict: "bad", says: fault.message, remedy: fault.remedy };
    try {
      const said = identities.find((identity) => identity.name === name)?.identity ?? part.part;
      return wellDone(name, place, `${said}: ${words(await readOnceReady(part, hardware.clock))}`);
    } catch (error) {
      return badPart(name, place, error);
    }
  };
  const { tachometer, supply, drive, ptt } = hardware;
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
    ...(tachometer === null
      ? []
      : [
          await look(tachometer, ({ rpm, rejectedEdges, lostEdges }) =>
            rpm === null
              ? "pulses that make no speed"
              : `${rpm.toFixed(0)} rpm, ${rejectedEdges} pulses rejected as noise${lostEdges === null ? "" : `, ${lostEdges} lost`}`,
          ),
        ]),
    ...(supply === null
      ? []
      : [await look(supply, ({ volts, amperes }) => `${volts.toFixed(2)} V, ${(1e3 * amperes).toFixed(0)} mA`)]),
    ...(drive === null
      ? []
      : [await look(drive, ({ forwardVolts }) => `detector at ${forwardVolts.toFixed(3)} V forward`)]),
    ...(ptt === null ? [] : [await look(ptt, ({ keyed }) => (keyed ? "keyed" : "not keyed"))]),
    await checkRelay(hardware, failed.get("relay")),
    ...hardware.buses().map(busFinding),
  ];
}

/** A chip that has just been powered, or woken by being identified, has nothing to say before its first conversion. */
const CONVERSION_SECONDS = 0.4;
const CONVERSION_TRIES = 5;

async function readOnceReady<Sample>(part: Part<Sample>, clock: Clock): Promise<Sample> {
  for (let tries = 1; ; tries += 1) {
    try {
      return await part.read();
    } catch (error) {
      const early = error instanceof HardwareError && error.code === "NOT_READY";
      if (!early || tries >= CONVERSION_TRIES) throw error;
      await pause(clock, CONVERSION_SECONDS);
    }
  }
}

/** Both lines read back released: opening released them, and a checkup never permits power. */
async function checkRelay({ relay }: Hardware, fault: OpenResult["faults"][number] | undefined): Promise<Finding> {
  if (relay === null) {
    const remedy = "Add a [relay] table, or accept that the daemon only warns.";
    const says = "none is configured, so nothing takes the power off";
    return { what: "relay", place: "config", verdict: "warning", says, remedy };
  }
  if (fault !== undefined) {
    return { what: "relay", place: relay.place, verdict: "bad", says: fault.message, remedy: fault.remedy };
  }
  try {
    const { reduce, inhibit } = await relay.readBack();
    if (!reduce && !inhibit) return wellDone("relay", relay.place, "both lines read back released");
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

function badPart(what: string, place: string, error: unknown): Finding {
  if (error instanceof HardwareError) {
    return { what, place, verdict: "bad", says: error.message, remedy: error.remedy };
  }
  const says = error instanceof Error ? error.message : String(error);
  return { what, place, verdict: "bad", says, remedy: "Read the kernel's messages (`dmesg`) for the device." };
}
