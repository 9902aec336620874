// The rationalised list, third part: each sensor when it is bad, stuck or implausible. Data only.

import type { AlarmDefinition } from "../alarm.ts";
import { USUAL_STEP_KELVIN } from "../sensor-watch.ts";
import type { ProtectionSettings } from "../settings.ts";

/** Readings whose failure is an alarm, with what it costs. */
const BAD = {
  inlet: ["medium", "Without it the outlet's rise is unknown and the bound on the core widens"],
  outlet: [
    "medium",
    "Without it the core is followed from drive alone, or not at all: the power is reduced, then taken off",
  ],
  wall: ["low", "The wall is estimated instead of measured; the bound on the core widens a little"],
  ambient: ["low", "Sun on the box can no longer be told from warm air"],
  core: ["medium", "The one direct witness of the core is gone; the estimate goes on without it"],
  humidity: ["low", "Condensation is no longer seen"],
  supply: ["low", "A weak fan supply is no longer seen, nor a lost tach lead told from a stall"],
  drive: ["medium", "The loss must be worked back from the air: the bound on the core widens"],
} as const satisfies Record<string, readonly ["medium" | "low", string]>;

type SensorName = keyof typeof BAD;

/** Thermometers in the air stream: the ones whose behaviour in time is watched. */
type WatchedName = "inlet" | "outlet";

function badSensor<const Name extends SensorName>(name: Name) {
  const [priority, consequence] = BAD[name];
  return {
    tag: `${name}_bad`,
    priority,
    setpoint: null,
    deadband: 0,
    onDelaySeconds: 10,
    offDelaySeconds: 30,
    latch: false,
    cause: "A broken cable or contact, a dead chip, water, or RF on the bus",
    consequence,
    response: "Run the check of the hardware, then look at this sensor's cable and contacts",
    respondWithinSeconds: 900,
  } as const satisfies AlarmDefinition;
}

/** Behind the number of seconds: for which last digit it stands. */
const LAST_DIGIT_UNIT = `s at a last digit of 1/${1 / USUAL_STEP_KELVIN} K`;

function stuckSensor<const Name extends WatchedName>(name: Name, settings: ProtectionSettings) {
  return {
    tag: `${name}_stuck`,
    priority: "medium",
    setpoint: { value: settings.alarms.stuckSeconds, unit: LAST_DIGIT_UNIT, sense: "at or above" },
    deadband: 0,
    onDelaySeconds: 0,
    offDelaySeconds: 30,
    latch: false,
    cause: "A chip that answers with an old conversion, or a driver that hands out a stored one",
    consequence: "A number that no longer moves looks like a cool box; it is not used",
    response: "Take the power off the sensor for a moment; replace it if it happens again",
    respondWithinSeconds: 900,
  } as const satisfies AlarmDefinition;
}

function implausibleSensor<const Name extends WatchedName>(name: Name) {
  return {
    tag: `${name}_implausible`,
    priority: "medium",
    setpoint: null,
    deadband: 0,
    onDelaySeconds: 5,
    offDelaySeconds: 120,
    latch: false,
    cause:
      "Jumps or values that air does not take, or two thermometers in one place that differ: RF, a bad contact, a thermometer that hangs loose, a wrong chip type in the configuration",
    consequence:
      "Such readings are widened or not used, and of two the one that makes the core hotter; the bound widens",
    response: "Compare with another thermometer; check cable, ferrite beads and the chip's type",
    respondWithinSeconds: 900,
  } as const satisfies AlarmDefinition;
}

/** Alarms of the sensors. */
export function sensorAlarms(settings: ProtectionSettings) {
  return [
    badSensor("inlet"),
    badSensor("outlet"),
    badSensor("wall"),
    badSensor("ambient"),
    badSensor("core"),
    badSensor("humidity"),
    badSensor("supply"),
    badSensor("drive"),
    stuckSensor("inlet", settings),
    stuckSensor("outlet", settings),
    implausibleSensor("inlet"),
    implausibleSensor("outlet"),
    {
      tag: "drive_disagreement",
      priority: "medium",
      setpoint: { value: settings.alarms.drivePowerRatio, unit: "times", sense: "at or above" },
      deadband: 0.1 * settings.alarms.drivePowerRatio,
      onDelaySeconds: 30,
      offDelaySeconds: 60,
      latch: false,
      cause:
        "A detector that has drifted, a factor measured with another amplifier setting, or the rig's link tells of another rig",
      consequence: "Until they agree the larger counts, in doubt: core and bound may read higher than they need",
      response:
        "Compare with a wattmeter; calibrate the detector again or correct the rig's factor in the configuration",
      respondWithinSeconds: 1800,
    },
    {
      tag: "keying_disagreement",
      priority: "low",
      setpoint: { value: settings.alarms.keyingSeconds, unit: "s", sense: "at or above" },
      deadband: 0,
      onDelaySeconds: 0,
      offDelaySeconds: 10,
      latch: false,
      cause: "A broken or inverted PTT line, a rig link to another rig, or RF from another transmitter in the detector",
      consequence:
        "Errors of the sensors are counted to the wrong side, and the page shows the wrong state of the transmitter",
      response: "Key once and look at which of the sources under Check follows; repair or correct the other",
      respondWithinSeconds: 86_400,
    },
    {
      tag: "inlet_outlet_swapped",
      priority: "high",
      setpoint: { value: settings.alarms.swappedSeconds, unit: "s of evidence", sense: "at or above" },
      deadband: settings.alarms.swappedSeconds / 2,
      onDelaySeconds: 0,
      offDelaySeconds: 0,
      latch: false,
      cause: "The two thermometers are exchanged, or the fan blows the other way",
      consequence: "The heat of the core is read as cold: no estimate can be believed",
      response: "Lower the drive. Exchange the two roles in the configuration, or turn the fan round",
      respondWithinSeconds: 300,
    },
    {
      tag: "rf_upsets",
      priority: "low",
      setpoint: {
        value: settings.alarms.upsetsPerMinute,
        unit: "errors per minute of transmission",
        sense: "at or above",
      },
      deadband: settings.alarms.upsetsPerMinute / 2,
      onDelaySeconds: 30,
      offDelaySeconds: 300,
      latch: false,
      cause: "RF on the sensor cable: common-mode current on the coax, missing beads, a cable along the wire",
      consequence: "Readings fail while they matter most",
      response: "Add a common-mode choke and ferrite beads, move the cable away from wire and coax",
      respondWithinSeconds: 86_400,
    },
  ] as const satisfies readonly AlarmDefinition[];
}
