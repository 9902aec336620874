// All drawings, by name.

import type { Sheet } from "./sheet.ts";
import { busSheet } from "./sheets/bus.ts";
import { headerSheet } from "./sheets/header.ts";
import { optionsSheet } from "./sheets/options.ts";
import { permitSheet } from "./sheets/permit.ts";
import { stationSheet } from "./sheets/station.ts";
import { supplySheet } from "./sheets/supply.ts";
import { tachSheet } from "./sheets/tach.ts";

export function allSheets(): readonly Sheet[] {
  return [stationSheet(), headerSheet(), busSheet(), tachSheet(), permitSheet(), supplySheet(), optionsSheet()];
}
