// The words of the view Alarms and of the sound, in English. Words only; part of strings.ts.

/** Human names; a tag without one is read as it is written. */
const NAMES: { readonly [tag: string]: string } = {
  core_upper_trip: "Core at its limit",
  core_measured_trip: "Core measured at its limit",
  core_upper_high: "Core hot",
  outlet_high: "Outlet air hot",
  flow_factor_low: "Vents clogging",
  loss_factor_high: "More loss than expected",
  estimate_disagreement: "Estimate disagrees",
  model_mismatch: "Model does not fit",
  estimate_unusable: "Estimate not usable",
  condensation: "Condensation",
  fan_stall: "Fan stalled",
  fan_slow: "Fan slow",
  fan_surging: "Fan surging",
  tach_doubtful: "Tachometer doubtful",
  fan_supply_low: "Fan supply low",
  inlet_outlet_swapped: "Inlet and outlet swapped",
  drive_disagreement: "Drive readings disagree",
  keying_disagreement: "Keying sources disagree",
  rf_upsets: "RF upsets the sensors",
  relay_disagrees: "Relay disagrees",
  proof_test_overdue: "Proof test overdue",
  bus_stuck: "Bus held low",
  log_not_writable: "Log not written",
  disk_nearly_full: "Disk nearly full",
  service_silent: "Service thread silent",
  cycle_overrun: "Cycles late",
  memory_growth: "Memory growing",
};

export const alarmWords = {
  page: "Alarms",
  name: (tag: string): string => NAMES[tag] ?? `${tag.charAt(0).toUpperCase()}${tag.slice(1)}`.replaceAll("_", " "),
  calm: "No alarm stands: nothing to do.",
  oneWaits: (name: string, response: string | null): string => `${name}. ${response ?? "Read what it says and act"}.`,
  seen: (count: number): string =>
    count === 1 ? "One alarm stands, and has been acknowledged." : `${count} alarms stand, all acknowledged.`,
  quietOnes: (count: number): string =>
    count === 1
      ? "Nothing asks for you; one alarm is set aside."
      : `Nothing asks for you; ${count} alarms are set aside.`,
  old: "The alarms below are as last heard.",
  standing: "Standing",
  since: (clock: string, age: string): string => `since ${clock}, for ${age}`,
  until: (left: string): string => `back in ${left}`,
  cause: "Likely cause",
  consequence: "If nothing is done",
  response: "What to do",
  within: (time: string): string => `within ${time}`,
  shelve: "Shelve",
  unshelve: "Unshelve",
  bypass: "Bypass the protection",
  endBypass: "End the bypass",
  bypassTitle: "Bypass",
  bypassNote:
    "For a test under your own eyes only: while it runs, no line is released for the causes that may be bypassed.",
  bypassed: (left: string): string => `The protection is bypassed for another ${left}.`,
  record: "Record",
  recordNone: "The record holds nothing of this kind yet.",
  recordFailed: "The record cannot be read now.",
  earlier: "Earlier lines",
  newest: "Read again",
  kinds: { all: "everything", alarm: "alarms", command: "commands", stage: "power stage" },
  kindsTitle: "Show",
  untrusted: "clock not set",
  list: "Every alarm there is",
  listCaption: "When each comes, and what it asks for",
  comes: "comes",
  latched: "stays until reset",
  sound: {
    title: "Sound and notices in this browser",
    on: "Turn the sound on",
    off: "Turn the sound off",
    isOn: "Sound is on.",
    isOff: "Sound is off: a browser makes none before you ask for it.",
    test: "Test",
    patterns: {
      high: "high: three rising tones, again until acknowledged",
      medium: "medium: two tones, once",
      low: "low: one low tone, once",
    },
    notices: "Allow system notifications",
    noticesOn: "System notifications are allowed.",
    noticesOff: "System notifications are blocked by the browser, or not available at this address.",
  },
  spoken: (priority: string, name: string): string => `Alarm, ${priority}: ${name}.`,
  title: (count: number): string => (count === 1 ? "▲ 1 alarm" : `▲ ${count} alarms`),
} as const;

/** Titles, consequences and buttons of the questions before an operator's command. */
export const questionWords = {
  shelve: {
    title: (name: string): string => `Shelve “${name}”?`,
    consequence:
      "It makes no sound and asks for nothing until the time is over; then it comes back by itself. The protection goes on working.",
    act: "Shelve",
  },
  unshelve: {
    title: (name: string): string => `Bring “${name}” back?`,
    consequence: "From now on it sounds and shows again as the readings say.",
    act: "Unshelve",
  },
  bypass: {
    title: "Bypass the protection?",
    consequence:
      "Until the time is over neither the fan nor anything measured lowers the power: only an upper bound at the limit, or no estimate, takes it off. Ferrite can crack and burn. Stay at the transmitter, keep everybody away from the wire and the open box: RF burns and kilovolts.",
    act: "Bypass",
  },
  "end bypass": {
    title: "End the bypass?",
    consequence: "The protection acts again at once; power may be taken off in this second.",
    act: "End the bypass",
  },
  "proof test": {
    title: (step: string): string => (step === "begin" ? "Begin the proof test?" : `Proof test: ${step}?`),
    consequence:
      "The lines are released and permitted in turn, and the power goes off and comes back with them. Stop transmitting first and keep clear of the wire.",
    act: "Go on",
  },
  minutes: "For how long",
  choice: (minutes: number): string => (minutes < 60 ? `${minutes} min` : `${minutes / 60} h`),
  comment: "Why (goes into the record)",
  commentOptional: "Comment for the record, if any",
} as const;
