// The words of the overview of many feedpoints, in English. Words only.

import type { Presence } from "../../daemon/wire/overview.ts";

const count = (number: number, one: string, many: string): string => (number === 1 ? `1 ${one}` : `${number} ${many}`);

export const overviewWords = {
  title: "All feedpoints",
  list: "Feedpoints, worst first",
  connecting: "Calling the overview's server.",
  serverLost: (seconds: number): string =>
    `No word from the overview's server for ${seconds} s: what stands here is old.`,
  brokerLost: (trouble: string): string => `The broker is not in reach (${trouble}): what stands here is old.`,
  none: "No feedpoint has been heard at the broker yet.",
  noneMatch: "No feedpoint fits what is asked for.",
  head: (act: number, blind: number, all: number): string => {
    const rest = `${count(all, "feedpoint", "feedpoints")} heard`;
    if (act === 0 && blind === 0) return `Nothing asks for you: ${rest}.`;
    const parts = [act === 0 ? [] : [`${act} to act on`], blind === 0 ? [] : [`${blind} not known`]].flat();
    return `${parts.join(", ")}: ${rest}.`;
  },
  hidden: (hidden: number, most: number): string =>
    `${count(hidden, "more feedpoint is", "more feedpoints are")} heard and not shown: overview.feedpoints is ${most}.`,
  unreadable: (what: string): string => `It sends what cannot be read (${what}).`,
  presence: {
    stopped: "Its daemon was stopped.",
    lost: "It is gone without a goodbye: no power, no network, or a crash.",
    unknown: "Nothing is known of it yet.",
  } satisfies { readonly [presence in Exclude<Presence, "online">]: string },
  filter: "Filter by name or words",
  only: "Show",
  kinds: { all: "all", act: "to act on", blind: "not known", watch: "to watch", calm: "calm" },
  held: "The order is held while you are in the list.",
  tones: { act: "act", blind: "not known", watch: "watch", calm: "calm" },
  shown: (shown: number, all: number): string => `${shown} of ${all} shown`,
  core: (celsius: string): string => `core not above ${celsius}`,
  drive: (watts: string): string => `drive ${watts}`,
  alarms: (waiting: number): string => count(waiting, "alarm waits", "alarms wait"),
  age: (seconds: number): string => (seconds < 2 ? "live" : `${seconds} s old`),
  neverHeard: "no data",
  simulated: "simulated",
  readOnly: "This page only shows. Whatever is to be done is done at the feedpoint's own page.",
  version: (version: string): string => `Emberwire ${version}`,
} as const;
