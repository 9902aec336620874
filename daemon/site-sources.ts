// What the page's server asks of the rest of the service thread, each question led to the part that answers it. It answers nothing
// itself.

import type { Clock } from "../hardware/ports.ts";
import type { Gate } from "./access/gate.ts";
import type { LogProgress, ToHeartbeat } from "./crossing/messages.ts";
import type { HeatRunSession } from "./heat-run/session.ts";
import type { LastHeard } from "./last-heard.ts";
import type { Links } from "./links.ts";
import { checkOf } from "./outputs/check.ts";
import type { CommandDesk } from "./outputs/desk.ts";
import type { Door } from "./outputs/door.ts";
import type { SiteSources } from "./outputs/http.ts";
import type { Tally } from "./outputs/metrics/tally.ts";
import { pagesOrNone } from "./outputs/pages.ts";
import type { Stream } from "./outputs/stream.ts";
import type { SeasonAnswers } from "./season/answers.ts";
import type { SeasonLog } from "./season/log.ts";
import { recordPage } from "./season/record-page.ts";
import type { ServiceSpec } from "./service-spec.ts";

/** The parts of the service thread that are asked. */
export type ServiceParts = {
  readonly spec: ServiceSpec;
  readonly clock: Clock;
  readonly door: Door;
  readonly gate: Gate;
  readonly stream: Stream;
  readonly desk: CommandDesk;
  readonly links: Links;
  readonly heatRuns: HeatRunSession;
  readonly answers: SeasonAnswers;
  readonly tally: Tally;
  readonly heard: LastHeard;
  /** @throws when there is no log */
  readonly openedLog: () => SeasonLog;
  readonly progress: () => LogProgress;
  /** To the heartbeat. */
  readonly say: (message: ToHeartbeat) => void;
};

export function siteSources(parts: ServiceParts): SiteSources {
  const { spec, clock, door, gate, stream, desk, links, heatRuns, answers, tally, heard, openedLog, progress } = parts;
  const alarmTags = spec.alarms.map(({ tag }) => tag);
  return {
    about: spec.about,
    stream,
    clock,
    pages: pagesOrNone(spec.pages),
    door,
    logins: gate,
    note: (tag, text, { who, address }) => parts.say({ kind: "note", tag, text: `${text} (from ${address})`, by: who }),
    latest: () => stream.latest,
    ageSeconds: () => heard.ageSeconds,
    ratingBasis: spec.ratingBasis,
    metrics: () => {
      const frame = stream.latest;
      if (frame === null) return null;
      const { health } = heard;
      return { about: spec.about, frame, alarmTags, health, tally, nodeVersion: process.versions.node };
    },
    heatRun: { view: () => heatRuns.view, ask: (request) => heatRuns.ask(request) },
    history: (query) => openedLog().history(query),
    season: {
      review: (span) => answers.review(span),
      sessions: () => answers.sessions(),
      mark: (session) => answers.mark(session),
      remove: (id) => answers.remove(id),
    },
    notices: links.notices,
    watch: {
      alarms: spec.alarms,
      record: (query) => recordPage(openedLog().database, query),
      check: () =>
        checkOf({
          version: spec.about.version,
          beat: heard.beat,
          health: heard.health,
          log: progress(),
          ...links.health(),
          nowSeconds: clock.monotonicSeconds(),
        }),
    },
    submit: (action, id, by, from) => desk.submit(action, id, by, from),
    wallSeconds: () => heard.wallSeconds,
  };
}
