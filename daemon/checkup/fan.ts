// The fan as its tach and its supply show it over some seconds: does it turn, evenly, as fast as it should, on the voltage it is made
// for? It separates a fan that stands from a lead that is broken, as far as the two can tell.

import { pause } from "../../hardware/clock.ts";
import type { OpenResult } from "../../hardware/open.ts";
import type { Clock, SupplySample, Tachometer, TachometerSample } from "../../hardware/ports.ts";
import type { Program } from "../core/step.ts";
import { type Finding, wellDone } from "./finding.ts";
import { badPart, type Look, readOnceReady } from "./look.ts";

type FanSettings = NonNullable<Program["fan"]>;

const WATCH_SECONDS = 1.6;
const LOOK_SECONDS = 0.2;
/** Looks that must have found a speed, of those in the watch. */
const LEAST_SPEEDS = 4;
/** Slowest and fastest of a steady fan differ by less than this share. */
const STEADY_RATIO = 0.08;
/** A fan that gets less, or more, than these shares of its nominal voltage is on the wrong supply. */
const LOW_VOLTS = 0.85;
const HIGH_VOLTS = 1.15;
/** Speed follows the voltage above this share of the nominal. */
const PROPORTIONAL_FROM = 0.4;
/** Above this share of its nominal speed it is another fan, or counted wrongly. */
const FAST_RATIO = 1.2;
/** Twice or half the speed, within this: pulses counted wrongly. */
const DOUBLE_TOLERANCE = 0.12;
/** Pulses rejected in a second beyond which the line is disturbed. */
const NOISY_PER_SECOND = 20;
/** A fan that turns, or tries to, draws more than this, A. */
const DRAWS_AMPERES = 0.02;

/** Tach and supply; none for what is not fitted. */
export async function checkFan(
  { hardware, identities, faults }: OpenResult,
  settings: FanSettings | null,
  look: Look,
): Promise<readonly Finding[]> {
  const { tachometer, supply, clock } = hardware;
  const sample = supply === null ? null : await readOnceReady(supply, clock).catch(() => null);
  const findings: Finding[] = [];
  if (tachometer !== null && settings !== null) {
    const fault = faults.find(({ name }) => name === tachometer.name);
    if (fault !== undefined) findings.push(await look(tachometer, () => ""));
    else {
      const rests = /level (\d)$/.exec(identities.find(({ name }) => name === tachometer.name)?.identity ?? "")?.[1];
      findings.push(await checkTach(tachometer, { settings, supply: sample, clock, restsLow: rests === "0" }));
    }
  }
  if (supply !== null) {
    const words = ({ volts, amperes }: SupplySample): string =>
      `${volts.toFixed(2)} V, ${(1e3 * amperes).toFixed(0)} mA`;
    const finding = await look(supply, words);
    findings.push(sample === null || finding.verdict !== "good" ? finding : judgeSupply(finding, sample, settings));
  }
  return findings;
}

type TachScene = {
  readonly settings: FanSettings;
  /** Null where nothing measures it. */
  readonly supply: SupplySample | null;
  readonly clock: Clock;
  readonly restsLow: boolean;
};

async function checkTach(tachometer: Tachometer, scene: TachScene): Promise<Finding> {
  const { name, place } = tachometer;
  let samples: readonly TachometerSample[];
  try {
    samples = await watch(tachometer, scene.clock);
  } catch (error) {
    return badPart(name, place, error);
  }
  const speeds = samples.flatMap(({ rpm }) => (rpm !== null && rpm > 0 ? [rpm] : []));
  const bad = (says: string, remedy: string): Finding => ({ what: name, place, verdict: "bad", says, remedy });
  if (samples.every(({ rpm }) => rpm === 0)) return bad(`no pulses in ${WATCH_SECONDS} s`, quietRemedy(scene));
  if (speeds.length < LEAST_SPEEDS) {
    return bad(
      "pulses that make no speed",
      "Check the tach lead: its pull-up to 3.3 V, its shield and its ferrite; and that the fan runs from a smooth supply, not a chopped one.",
    );
  }
  return judgeSpeed(name, place, speeds, samples, scene);
}

async function watch(tachometer: Tachometer, clock: Clock): Promise<readonly TachometerSample[]> {
  const samples: TachometerSample[] = [];
  const untilSeconds = clock.monotonicSeconds() + WATCH_SECONDS;
  while (clock.monotonicSeconds() < untilSeconds) {
    await pause(clock, LOOK_SECONDS);
    samples.push(await tachometer.read());
  }
  return samples;
}

const LOCKED_OUT = "Some fans stay off after a jam until somebody takes their supply off for some seconds.";

/** The current tells a fan that stands from a lead that is broken. */
function quietRemedy({ supply, restsLow }: TachScene): string {
  const lead = restsLow
    ? "the line rests low, so its pull-up to 3.3 V is missing, or the lead is shorted to ground."
    : "compare the tach lead with the line in the config, and look at its pull-up to 3.3 V.";
  if (supply === null)
    return `Look whether the fan turns. If it stands: its supply, fuse and blades. If it turns: ${lead}`;
  if (supply.amperes < DRAWS_AMPERES) {
    return `The fan draws no current at ${supply.volts.toFixed(1)} V: look at its supply leads, its fuse and its connector. ${LOCKED_OUT}`;
  }
  const drawn = `The fan draws ${(1e3 * supply.amperes).toFixed(0)} mA at ${supply.volts.toFixed(1)} V`;
  return `${drawn}, so it has a supply. If it stands, free or replace it. ${LOCKED_OUT} If it turns: ${lead}`;
}

function judgeSpeed(
  what: string,
  place: string,
  speeds: readonly number[],
  samples: readonly TachometerSample[],
  { settings, supply }: TachScene,
): Finding {
  const mean = speeds.reduce((sum, rpm) => sum + rpm, 0) / speeds.length;
  const swing = (Math.max(...speeds) - Math.min(...speeds)) / mean;
  const [first, last] = [samples[0], samples.at(-1)];
  const rejected = (last?.rejectedEdges ?? 0) - (first?.rejectedEdges ?? 0);
  const lost = last?.lostEdges ?? null;
  const { nominalRpm, nominalVolts, pulsesPerRevolution, slowRatio } = settings;
  // A fan on a lower voltage turns slower, and that is told of the supply; one without a supply only runs down.
  const share = supply === null ? 1 : supply.volts / nominalVolts;
  const expected = nominalRpm * (share > PROPORTIONAL_FROM ? share : 1);
  const ratio = mean / expected;
  const says = `${mean.toFixed(0)} rpm, ${rejected} pulses rejected as noise${lost === null ? "" : `, ${lost} lost`}`;
  const mind = (more: string, remedy: string): Finding => {
    return { what, place, verdict: "warning", says: `${says}; ${more}`, remedy };
  };
  for (const factor of [2, 0.5]) {
    if (Math.abs(ratio / factor - 1) > DOUBLE_TOLERANCE) continue;
    const pulses = pulsesPerRevolution * factor;
    const right = Number.isInteger(pulses) ? `set fan.pulses_per_revolution = ${pulses}` : "count its pulses";
    return mind(
      `${factor === 2 ? "twice" : "half"} the speed expected`,
      `Compare the fan's data sheet: ${right}, or correct fan.nominal_speed.`,
    );
  }
  if (ratio < slowRatio) {
    const remedy =
      "Look at blades, bearing, vents and filter; if the fan is well, correct fan.nominal_speed or nominal_supply.";
    return mind(`slower than the ${expected.toFixed(0)} rpm expected`, remedy);
  }
  if (ratio > FAST_RATIO) {
    const remedy = "Correct fan.nominal_speed, and look at the fan's voltage: more than it is made for wears it out.";
    return mind(`faster than the ${expected.toFixed(0)} rpm expected`, remedy);
  }
  if (swing > STEADY_RATIO) {
    const remedy = "Look at the supply's contacts and at gusts into the outlet; a bearing near its end does the same.";
    return mind(`it swings by ${(100 * swing).toFixed(0)} %`, remedy);
  }
  if (rejected > NOISY_PER_SECOND * WATCH_SECONDS) {
    return mind("the line is disturbed", "Shield the tach lead, add a ferrite, and a small capacitor at the pin.");
  }
  return wellDone(what, place, says);
}

function judgeSupply(good: Finding, { volts, amperes }: SupplySample, settings: FanSettings | null): Finding {
  if (amperes < -DRAWS_AMPERES) {
    const remedy = "The current flows backwards through the shunt: exchange IN+ and IN−.";
    return { ...good, verdict: "warning", remedy };
  }
  if (settings === null) return good;
  const { nominalVolts } = settings;
  const nominal = `fan.nominal_supply is ${nominalVolts} V`;
  if (volts < LOW_VOLTS * nominalVolts) {
    const remedy = `${nominal}: measure both ends of the cable (\`emberwire wire-drop\` tells what it loses), then supply, fuse and contacts.`;
    return { ...good, verdict: "bad", remedy };
  }
  if (volts > HIGH_VOLTS * nominalVolts) {
    const remedy = `${nominal}: take the fan off this supply before it is damaged, or correct the key.`;
    return { ...good, verdict: "bad", remedy };
  }
  return good;
}
