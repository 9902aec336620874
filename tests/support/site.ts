// What a site asks of the rest of the daemon, answered as by a daemon in which nothing happens. Tests change what they need.

import { configFrom } from "../../daemon/commands/flags.ts";
import { modelOf } from "../../daemon/config/model.ts";
import { ratingBasisOf } from "../../daemon/config/rating-basis.ts";
import type { SiteSources } from "../../daemon/outputs/http.ts";
import { Tally } from "../../daemon/outputs/metrics/tally.ts";
import { Stream } from "../../daemon/outputs/stream.ts";
import type { About } from "../../daemon/wire/frame.ts";
import type { Clock } from "../../hardware/ports.ts";
import { PLAIN_FRAME } from "./frame.ts";
import { ManualClock } from "./manual-clock.ts";
import { NO_PASSWORDS, openDoor } from "./open-door.ts";

const DEMO = configFrom(undefined);

export const PLAIN_ABOUT: About = {
  name: "Test",
  simulated: true,
  speed: 1,
  version: "0",
  boot_id: "b",
  limit_celsius: 110,
  reduce_celsius: 100,
  toroids: 3,
  fan_nominal_rpm: 11_000,
};

/** A question that this site's test should not have asked. */
function notAsked(): never {
  throw new Error("not asked here");
}

export function idleSources(clock: Clock = new ManualClock()): SiteSources {
  return {
    about: PLAIN_ABOUT,
    pages: new Map(),
    door: openDoor(),
    stream: new Stream({ about: PLAIN_ABOUT, clock, mostReaders: 3 }),
    clock,
    logins: { ...NO_PASSWORDS, login: () => Promise.resolve({ kind: "wrong" }), logout: () => {} },
    note: () => {},
    latest: () => PLAIN_FRAME,
    ageSeconds: () => 0.5,
    metrics: () => ({
      about: PLAIN_ABOUT,
      frame: PLAIN_FRAME,
      alarmTags: [],
      health: null,
      tally: new Tally(),
      nodeVersion: "20.19.0",
    }),
    season: { review: notAsked, sessions: () => [], mark: notAsked, remove: () => false },
    history: ({ fromSeconds, toSeconds }) => ({ from_seconds: fromSeconds, to_seconds: toSeconds, series: {} }),
    notices: null,
    ratingBasis: ratingBasisOf(DEMO, modelOf(DEMO), { limitCelsius: 110, outletReduceCelsius: 60 }),
    heatRun: { view: notAsked, ask: () => null },
    watch: { alarms: [], check: notAsked, record: () => ({ lines: [], before: null }) },
    submit: (_action, id) => Promise.resolve({ id: id ?? "made", accepted: true, text: "noted" }),
    wallSeconds: () => 5_000,
  };
}
