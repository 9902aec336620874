// Every word the page shows, in English, in one place, ready for translation. Words only: no number is formatted here and
// nothing is decided beyond which word belongs to which state.

import { alarmWords, questionWords } from "./strings/alarm-words.ts";
import { checkWords } from "./strings/check-words.ts";
import { drawingWords, spokenWords } from "./strings/drawing-words.ts";

const DEGRADED: { readonly [lack: string]: string } = {
  "no inlet": "no inlet reading",
  "no outlet": "no outlet reading",
  "no tach": "no tachometer",
  "drive unknown": "drive not known",
  "fan stopped": "fan stopped",
  restarted: "just restarted",
  "no data": "no readings at all",
  "colder than its air": "the core would be colder than the air around it",
};

const line = (on: boolean | null): string => (on === null ? "cannot be read" : on ? "permitted" : "released");
const stop = (text: string): string => (/[.!?]$/.test(text) ? text : `${text}.`);

type Lines<State> = { readonly reduce: State; readonly inhibit: State };

export const strings = {
  product: "Emberwire",
  page: "Now",
  alarmView: alarmWords,
  check: checkWords,
  simulated: (speed: number): string => (speed === 1 ? "Simulated" : `Simulated at ${speed}\u00a0×`),

  view: {
    loading: "Fetching this view.",
    missing: "This view could not be fetched: the daemon does not answer.",
  },
  newer: { text: "A newer page is here.", reload: "Reload" },

  sentence: {
    connecting: "Calling the feedpoint.",
    noData: (seconds: number): string => `No data from the feedpoint for ${seconds} s.`,
    bypassed: (left: string): string =>
      `Protection is bypassed for another ${left}: only the core at its limit, or not known, takes the power off.`,
    stillPermitted: (lines: string) =>
      `The ${lines} still reads permitted although power was to come off: stop transmitting by hand.`,
    inhibited: (reason: string): string =>
      reason === "" ? "Do not transmit: power is inhibited." : `Do not transmit: ${reason}.`,
    reduced: (reason: string, holds: string | null): string =>
      `${reason.startsWith("stays ") ? `Power ${reason}` : `Power is reduced${reason === "" ? "" : `: ${reason}`}`}.${holds === null ? "" : ` ${holds} would hold.`}`,
    fanStalled: (holds: string | null): string =>
      holds === null ? "The fan has stalled." : `The fan has stalled. Without it ${holds} would hold.`,
    atLimit: (holds: string | null): string =>
      `The core may be at its limit: stop transmitting.${holds === null ? "" : ` ${holds} would hold once it has cooled.`}`,
    unknown: "Headroom is not known: too few readings can be believed.",
    young: (holds: string | null): string =>
      `Just started: the pace is not known yet.${holds === null ? "" : ` ${holds} without a break would hold.`}`,
    underAMinute: (holds: string | null): string =>
      `Less than a minute to the limit.${holds === null ? " Stop now." : ` Stop, or go down to ${holds}.`}`,
    reachesLimit: (time: string, holds: string | null): string =>
      `About ${time} to the limit.${holds === null ? "" : ` ${holds} would hold.`}`,
    quiet: (level: string, holds: string | null): string =>
      `All quiet: the core settles at ${level}.${holds === null ? "" : ` ${holds} without a break would hold.`}`,
    levelsOff: (level: string): string => `At this pace the core levels off at ${level}, below the limit.`,
    fullPowerIsSafe: (level: string): string => `Full power is safe: at this pace the core levels off at ${level}.`,
    onlyAtThisPace: (level: string, holds: string): string =>
      `This pace is safe: the core levels off at ${level}. Without a break only ${holds} would hold.`,
  },

  reasonList: (reasons: readonly string[]): string => (reasons.length === 0 ? "" : stop(reasons.join("; "))),

  notCalibrated: "Not calibrated: without a heat run with a core reading the bound is wide.",
  clockNotSet: "The feedpoint's clock is not set; times of day may be wrong.",
  degradedEstimate: (lacks: readonly string[]): string =>
    `Estimate degraded (${lacks.map((lack) => DEGRADED[lack] ?? lack).join(", ")}): the bound is wider.`,
  fanCaveat: (verdict: string): string | null => {
    switch (verdict) {
      case "doubtful":
        return "Tachometer doubtful: its speed is not believed.";
      case "slow":
        return "The fan is slow.";
      case "surging":
        return "The fan is surging.";
      case "off on purpose":
        return "The fan is off on purpose.";
      default:
        return null;
    }
  },
  relayDisagreement: (wanted: Lines<boolean>, read: Lines<boolean | null> | null): string | null => {
    if (read === null) return null;
    const wrong = (["reduce", "inhibit"] as const).filter((name) => read[name] !== wanted[name]);
    if (wrong.length === 0) return null;
    const each = wrong.map((name) => `${name} line wanted ${line(wanted[name])}, reads ${line(read[name])}`);
    return `Relay disagrees: ${each.join("; ")}.`;
  },

  age: {
    never: "no data yet",
    none: "no data",
    fresh: "data live",
    seconds: (seconds: number): string => `data ${seconds} s old`,
    waiting: "connection lost, trying again",
    connecting: "connecting",
  },

  headroom: {
    title: "Headroom",
    levelsOff: "levels off at",
    toLimit: "to the limit at this pace",
    belowLimit: (limit: string): string => `below the limit of ${limit}, at this pace`,
    atLimit: "at the limit",
    atLimitNote: "no headroom left",
    unknown: "not known",
    unknownNote: "too few readings can be believed",
    young: "not yet known",
    youngNote: "just started: it takes two minutes to know the pace",
  },
  sustainable: {
    title: "Sustainable drive",
    note: "without a break, at this air and fan",
    unknown: "not known",
    unknownNote: "needs the band",
  },
  stage: {
    title: "Power stage",
    names: { full: "Full", reduced: "Reduced", inhibited: "Inhibited" },
    bypassed: "Bypassed",
    bypassedUntil: (left: string): string =>
      `for another ${left}; only the core at its limit, or not known, takes the power off`,
    notes: {
      full: "nothing stands in the way",
      reduced: "the reduce line is released",
      inhibited: "both lines are released",
    },
    line: { reduce: "reduce line", inhibit: "inhibit line" },
    lineState: line,
    disagrees: (name: "reduce" | "inhibit", wanted: boolean, read: boolean | null): string =>
      `${name} line: wanted ${line(wanted)}, reads ${line(read)}`,
    reset: "Reset",
  },
  alarms: {
    title: "Alarms",
    none: "No alarm stands.",
    noneHeard: "None stood when the feedpoint was last heard.",
    priority: { high: "high", medium: "medium", low: "low" },
    acknowledge: "Acknowledge",
    more: (count: number): string => `and ${count} more`,
    since: (age: string): string => `for ${age}`,
  },
  confirm: {
    acknowledge: {
      title: (name: string): string => `Acknowledge “${name}”?`,
      consequence:
        "The horn goes quiet and the record says that you have seen it. The alarm stands until its cause is gone.",
      act: "Acknowledge",
    },
    reset: {
      title: "Reset the power stage?",
      consequence:
        "If the cause is gone, power comes back at once. Make sure that nobody is near the wire or the open box: RF burns, and the wire's end carries kilovolts.",
      act: "Reset",
    },
    ...questionWords,
    cancel: "Leave it",
    sent: "Sent. The record will show it.",
    refused: (why: string): string => `Not done: ${why}`,
    noAnswer: "the daemon did not answer",
    login: "operator login needed",
  },

  chart: {
    title: (minutes: number): string => (minutes === 30 ? "Last half hour" : `Last ${minutes} minutes`),
    label: "Temperatures of the last half hour: core with its upper bound, outlet and inlet, against the limit.",
    core: "core, est.",
    upper: "upper bound",
    outlet: "outlet",
    inlet: "inlet",
    limit: (limit: string): string => `limit ${limit}`,
    transmitting: "transmitting; overs at the foot",
    table: "The same as a table",
    tableCaption: "Highest value of each minute",
    time: "time",
    drive: "drive",
    noHistory: "What came before this page was opened could not be fetched.",
  },

  drawing: drawingWords,
  spoken: spokenWords,

  settings: {
    title: "Units and look",
    temperature: { title: "Temperature", celsius: "°C", fahrenheit: "°F" },
    airflow: { title: "Airflow", "litres per second": "l/s", "cubic feet per minute": "CFM" },
    clock: { title: "Times", local: "local", utc: "UTC" },
    look: { title: "Look", system: "as the system", light: "light", dark: "dark", night: "night, dim red" },
    size: { title: "Size", desk: "desk", room: "across the room" },
    motion: { title: "Drawing", moving: "moves", still: "still" },
  },

  footer: {
    limit: (limit: string, reduce: string): string => `limit ${limit}, reduced from ${reduce}`,
    calibrated: "calibrated",
    notCalibrated: "not calibrated",
    version: (version: string): string => `version ${version}`,
    time: (clock: string, zone: string): string => `${clock} ${zone}`,
    utc: "UTC",
    local: "local time",
  },
  season: {
    page: "Season",
  },
  views: "Views",
  skip: "Skip to the reading",
} as const;
