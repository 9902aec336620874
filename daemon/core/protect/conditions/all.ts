// Every alarm of the list with its condition; the compiler refuses a list with an alarm that nobody evaluates.

import type { AlarmTag } from "../alarm-list.ts";
import type { Condition } from "../scene.ts";
import { CORE_CONDITIONS } from "./core.ts";
import { FAN_CONDITIONS } from "./fan.ts";
import { SENSOR_CONDITIONS } from "./sensors.ts";
import { UPKEEP_CONDITIONS } from "./upkeep.ts";

export const CONDITIONS: Readonly<Record<AlarmTag, Condition>> = {
  ...CORE_CONDITIONS,
  ...FAN_CONDITIONS,
  ...SENSOR_CONDITIONS,
  ...UPKEEP_CONDITIONS,
};
