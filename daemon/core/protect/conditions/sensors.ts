// Conditions of the alarms on sensors: bad, stuck, implausible, exchanged, upset by RF. Their behaviour in time is measured elsewhere.

import type { Reading, Readings } from "../../readings.ts";
import { beyond } from "../alarm.ts";
import { codeInWords } from "../code-meaning.ts";
import type { Condition, Scene } from "../scene.ts";
import { moverRange, type SensorWatch, stillSeconds, USUAL_STEP_KELVIN, unusualStillness } from "../sensor-watch.ts";
import { upsetsPerMinute } from "../upsets.ts";

type Pick = (readings: Readings) => Reading | null;

function badWhen(pick: Pick): Condition {
  return {
    holds: ({ readings }) => {
      const reading = pick(readings);
      // A rig that says when it is keyed, without a detector that says how much: nothing has failed.
      return reading === null || reading.code === "NOT_FITTED" ? null : reading.quality === "bad";
    },
    words: ({ readings, settings }) => {
      const reading = pick(readings);
      if (reading === null) return "not fitted";
      if (reading.code === "DISAGREE") return "is not used: by drive, fan and air the core is far hotter than it reads";
      return reading.quality === "bad" ? `cannot be read: ${codeInWords(reading.code, settings.codes)}` : "reads again";
    },
  };
}

/** The number stood still for so long while its mover moved, s. */
const STILL_BESIDE_MOVEMENT_SECONDS = { inlet: 600, outlet: 120 } as const;
/** Times longer than usual that prove a stuck number without any other evidence. */
const UNUSUAL = 10;
/** So many times less or more of the time at most, however fine or coarse. */
const MOST_BY_STEP = 8;

/** How far the mover must have moved for a still number to be wrong: ambient air for the inlet, the core by drive alone for the outlet. */
const MOVED_KELVIN = { inlet: 5, outlet: 25 } as const;

/** A number that has stood still although it should have moved, or for far longer than it ever does. */
export function isStuck(
  watch: SensorWatch | null,
  name: "inlet" | "outlet",
  stuckSeconds: number,
  nowSeconds: number,
): boolean {
  if (watch === null) return false;
  const still = stillSeconds(watch, nowSeconds);
  if (still >= STILL_BESIDE_MOVEMENT_SECONDS[name] && moverRange(watch) >= MOVED_KELVIN[name]) return true;
  const byStep = Math.min(Math.max(watch.stepKelvin / USUAL_STEP_KELVIN, 1 / MOST_BY_STEP), MOST_BY_STEP);
  return still >= byStep * stuckSeconds && unusualStillness(watch, nowSeconds) >= UNUSUAL;
}

/** So many dropouts of late are a bad contact, although a reading comes through now and then; fewer are borne. */
const DROPOUTS = { comes: 10, goes: 4 } as const;

/** Bad for as long as it lasts, or so often that it never lasts. */
function badOrTorn(pick: Pick, watchOf: (scene: Scene) => SensorWatch | null): Condition {
  const plain = badWhen(pick);
  return {
    holds: (scene, alarm, held) => {
      const torn = (watchOf(scene)?.dropouts ?? 0) >= (held ? DROPOUTS.goes : DROPOUTS.comes);
      return pick(scene.readings) !== null && torn ? true : plain.holds(scene, alarm, held);
    },
    words: (scene, alarm) => {
      const dropouts = watchOf(scene)?.dropouts ?? 0;
      const words = plain.words(scene, alarm);
      return dropouts >= DROPOUTS.goes ? `${words}; it drops out again and again` : words;
    },
  };
}

function stuckWhen(name: "inlet" | "outlet", watchOf: (scene: Scene) => SensorWatch | null): Condition {
  return {
    holds: (scene) => isStuck(watchOf(scene), name, scene.settings.alarms.stuckSeconds, scene.nowSeconds),
    words: (scene) => {
      const watch = watchOf(scene);
      if (watch === null) return "no reading yet";
      return `${watch.value.toFixed(2)} °C, the same for ${stillSeconds(watch, scene.nowSeconds).toFixed(0)} s`;
    },
  };
}

/** Two jumps within some minutes are no accident. */
const JUMPS = 1.5;
/** Outlet air colder than the inlet by this is not air of one box. */
const COLDER_KELVIN = 15;
/** Inlet against the ambient thermometer beside it. */
const APART_KELVIN = 25;

function implausibleWhen(
  pick: Pick,
  watchOf: (scene: Scene) => SensorWatch | null,
  against: (readings: Readings, value: number) => boolean,
): Condition {
  return {
    holds: (scene) => {
      const reading = pick(scene.readings);
      if (reading === null) return null;
      if ((watchOf(scene)?.jumps ?? 0) >= JUMPS) return true;
      if (reading.value === null) return reading.code === "OUT_OF_RANGE";
      if (reading.code === "DISAGREE") return true;
      return against(scene.readings, reading.value);
    },
    words: (scene) => {
      const reading = pick(scene.readings);
      const jumps = watchOf(scene)?.jumps ?? 0;
      const why = reading === null ? "not fitted" : codeInWords(reading.code ?? "", scene.settings.codes);
      const said = reading?.value == null ? `not used: ${why}` : `${reading.value.toFixed(1)} °C`;
      if (reading?.value != null && reading.code === "DISAGREE")
        return `${said}; the thermometers in this place disagree`;
      return jumps >= JUMPS ? `${said}; it jumps` : said;
    },
  };
}

function apart(a: number, b: number | null | undefined, kelvin: number): boolean {
  return b !== null && b !== undefined && Math.abs(a - b) > kelvin;
}

export const SENSOR_CONDITIONS = {
  inlet_bad: badOrTorn(
    (readings) => readings.inlet,
    (scene) => scene.inletWatch,
  ),
  outlet_bad: badOrTorn(
    (readings) => readings.outlet,
    (scene) => scene.outletWatch,
  ),
  wall_bad: badWhen((readings) => readings.wall),
  ambient_bad: badWhen((readings) => readings.ambient),
  core_bad: badWhen((readings) => readings.core),
  humidity_bad: badWhen((readings) => readings.humidityRatio),
  supply_bad: badWhen((readings) =>
    readings.supplyVolts !== null && readings.supplyVolts.quality !== "bad" && readings.supplyAmperes !== null
      ? readings.supplyAmperes
      : readings.supplyVolts,
  ),
  // The detector's own failure, also while the rig's meter stands in for it.
  drive_bad: badWhen(
    ({ drive, driveEvidence: { sources } }) =>
      sources.find(({ name }) => name === "detector")?.watts ?? (drive === null ? null : drive.watts),
  ),
  drive_disagreement: {
    holds: ({ readings: { driveEvidence } }, alarm, held) =>
      driveEvidence.powerRatio === null ? null : beyond(alarm, driveEvidence.powerRatio, held),
    words: ({ readings: { driveEvidence } }) => {
      const said = driveEvidence.sources.flatMap(({ name, watts }) =>
        watts === null || watts.value === null ? [] : [`${name} ${watts.value.toFixed(0)} W`],
      );
      const { powerRatio } = driveEvidence;
      const apart = powerRatio === null ? "nothing to compare now" : `${powerRatio.toFixed(1)} times apart on average`;
      return said.length < 2 ? apart : `${apart}; now ${said.join(", ")}`;
    },
  },
  keying_disagreement: {
    holds: ({ readings: { driveEvidence } }, alarm, held) => beyond(alarm, driveEvidence.keyingSeconds, held),
    words: ({ readings: { driveEvidence } }) => {
      const said = driveEvidence.sources.flatMap(({ name, transmitting }) =>
        transmitting === null ? [] : [`${name} ${transmitting ? "keyed" : "not keyed"}`],
      );
      return `${said.join(", ") || "nobody speaks of the key"}, for ${driveEvidence.keyingSeconds.toFixed(0)} s`;
    },
  },
  inlet_stuck: stuckWhen("inlet", (scene) => scene.inletWatch),
  outlet_stuck: stuckWhen("outlet", (scene) => scene.outletWatch),
  inlet_implausible: implausibleWhen(
    (readings) => readings.inlet,
    (scene) => scene.inletWatch,
    (readings, value) => apart(value, readings.ambient?.value, APART_KELVIN),
  ),
  outlet_implausible: implausibleWhen(
    (readings) => readings.outlet,
    (scene) => scene.outletWatch,
    (readings, value) => readings.inlet?.value != null && value < readings.inlet.value - COLDER_KELVIN,
  ),
  inlet_outlet_swapped: {
    holds: (scene, alarm, held) => beyond(alarm, scene.swapEvidenceSeconds, held),
    words: ({ readings, swapEvidenceSeconds }) => {
      const inlet = readings.inlet?.value ?? null;
      const outlet = readings.outlet?.value ?? null;
      const rise = inlet === null || outlet === null ? "not known" : `${(outlet - inlet).toFixed(1)} K`;
      return `outlet rise ${rise}; ${swapEvidenceSeconds.toFixed(0)} s of evidence`;
    },
  },
  rf_upsets: {
    holds: ({ upsets }, alarm, held) => {
      const rate = upsetsPerMinute(upsets);
      if (held) return beyond(alarm, rate.transmitting, held);
      // A single error proves nothing, and errors that come as often while receiving are not RF.
      return (
        upsets.transmittingErrors >= 3 &&
        rate.transmitting >= 3 * rate.receiving &&
        beyond(alarm, rate.transmitting, held)
      );
    },
    words: ({ upsets }) => {
      const rate = upsetsPerMinute(upsets);
      return `${rate.transmitting.toFixed(1)} errors per minute while transmitting, ${rate.receiving.toFixed(1)} while receiving`;
    },
  },
} as const satisfies Record<string, Condition>;
