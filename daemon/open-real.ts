// The feedpoint's hardware on this very machine. What keeps it from being run is said in full, with what to do about it.

import { realBoard } from "../hardware/board.ts";
import { type OpenFault, openHardware } from "../hardware/open.ts";
import { hardwareSpec } from "./config/hardware-spec.ts";
import type { ReadConfig } from "./config/parse.ts";
import { BadNews } from "./exit.ts";
import type { Opened } from "./feedpoint.ts";
import { fixedRig } from "./station/rig.ts";

/** One line an operator can act on. */
function faultLine({ name, message, remedy }: OpenFault): string {
  return `${name}: ${message}. ${remedy}`;
}

/** @throws BadNews with every fault when the daemon must not run so */
export async function openReal(read: ReadConfig): Promise<Opened> {
  const spec = hardwareSpec(read);
  const board = await realBoard({ gpio: read.config.gpio.interface ?? null });
  const { hardware, faults, fit } = await openHardware(spec, board);
  const warnings = [...board.warnings, ...faults.map(faultLine)];
  if (!fit) {
    await hardware.close();
    throw new BadNews(warnings);
  }
  if (hardware.relay === null)
    warnings.push("relay: none is configured, so nothing takes the power off. Add a [relay] table.");
  const { frequency, mode } = read.config.station;
  return { hardware, rig: fixedRig(frequency ?? null, mode ?? null), warnings };
}
