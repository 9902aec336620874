// How a detector of the usual kind is read where a test has no config: nothing but the detector tells of the drive.

import { USUAL_SCALE } from "../../daemon/station/detector.ts";
import type { DriveSettings } from "../../daemon/station/drive.ts";

export const USUAL_DRIVE: DriveSettings = { scale: USUAL_SCALE, keyedWatts: 5, factorAt: () => null };
