// The service thread: what the heartbeat publishes → stream, page and season log; operators' commands back.
// It may stall, crash and be started anew at any time; it holds nothing that the heartbeat needs.

import { randomBytes } from "node:crypto";
import { parentPort, workerData } from "node:worker_threads";
import { systemClock } from "../hardware/clock.ts";
import type { Clock } from "../hardware/ports.ts";
import { Gate, type GateFiles } from "./access/gate.ts";
import type { Problem } from "./config/problem.ts";
import type { RigSpec } from "./config/rig.ts";
import { bandOf } from "./core/physics/bands.ts";
import type { RatingBasis } from "./core/physics/rating.ts";
import type { Beat, LogProgress, Parcel, ToHeartbeat, ToService } from "./crossing/messages.ts";
import { type HeatRunSpec, heatRunBeat, openHeatRuns } from "./heat-run/desk.ts";
import { openLog } from "./open-log.ts";
import {
  type CertificateFiles,
  CertificateTrouble,
  followCertificate,
  readCertificate,
} from "./outputs/certificate.ts";
import { checkOf } from "./outputs/check.ts";
import { CommandDesk } from "./outputs/desk.ts";
import { Door } from "./outputs/door.ts";
import { frameOf } from "./outputs/frame.ts";
import { guardFor } from "./outputs/guard.ts";
import { createSite, type SiteSources } from "./outputs/http.ts";
import { ListenRefused, listen } from "./outputs/listen.ts";
import { Tally } from "./outputs/metrics/tally.ts";
import type { MqttOutlet, OutletSettings } from "./outputs/mqtt/outlet.ts";
import type { Dispatch, DispatchSettings } from "./outputs/notices/dispatch.ts";
import { loadPages } from "./outputs/pages.ts";
import { type Network, peerReader } from "./outputs/peer.ts";
import { Stream } from "./outputs/stream.ts";
import { attachSockets } from "./outputs/stream-socket.ts";
import { SeasonAnswers } from "./season/answers.ts";
import type { Now, SeasonLog } from "./season/log.ts";
import { recordPage, recordSource } from "./season/record-page.ts";
import type { Retention } from "./season/retention.ts";
import type { WearAlarms } from "./season/review/wear.ts";
import type { RunIdentity } from "./season/store.ts";
import type { ShackRig } from "./shack-rig.ts";
import type { AlarmRow } from "./wire/alarm.ts";
import type { HardwareHealth } from "./wire/check.ts";
import type { About } from "./wire/frame.ts";
import type { HistoryQuery } from "./wire/history.ts";

/** What the thread is started with: plain data. */
export type ServiceSpec = {
  readonly about: About;
  readonly listen: {
    readonly host: string;
    readonly port: number;
    readonly names: readonly string[];
    readonly mostClients: number;
    readonly trustedProxies: readonly Network[];
    /** Null = without TLS. */
    readonly certificate: CertificateFiles | null;
  };
  /** Where passwords, sessions and the local key are kept. */
  readonly access: GateFiles;
  /** Folder of the built page. */
  readonly pages: string;
  readonly run: RunIdentity;
  readonly log: { readonly file: string; readonly retention: Retention };
  /** What the page's what-if computes from. */
  readonly ratingBasis: RatingBasis;
  readonly heatRun: HeatRunSpec;
  /** Values at which a quantity that tells of wear makes an alarm. */
  readonly wearAlarms: WearAlarms;
  /** The rationalised list in the words of the page. */
  readonly alarms: readonly AlarmRow[];
  /** Null where nobody is to be told. */
  readonly notices: DispatchSettings | null;
  /** Null where no rig is linked. */
  readonly rig: RigSpec | null;
  readonly rigMemoryFile: string;
  /** Null where no MQTT broker is told. */
  readonly mqtt: OutletSettings | null;
};

const spec = workerData as ServiceSpec;

function say(message: ToHeartbeat): void {
  parentPort?.postMessage(message);
}

function bandName({ outlook }: Beat): string | null {
  const frequencyHertz = outlook.readings.drive?.frequencyHertz ?? null;
  return frequencyHertz === null ? null : bandNameOf(frequencyHertz);
}

const bandNameOf = (frequencyHertz: number): string | null => bandOf(frequencyHertz)?.name ?? null;

function pagesOrNone(folder: string): ReturnType<typeof loadPages> {
  try {
    return loadPages(folder);
  } catch {
    return new Map();
  }
}

/** Where nobody is to be told, none of it is loaded. */
async function dispatchOf(clock: Clock): Promise<Dispatch | null> {
  if (spec.notices === null) return null;
  const { Dispatch } = await import("./outputs/notices/dispatch.ts");
  return new Dispatch({
    settings: spec.notices,
    feedpoint: spec.about.name,
    simulated: spec.about.simulated,
    clock,
    onChange: (tag, text) => say({ kind: "note", tag, text, by: null }),
  });
}

/** Where no rig is linked, none of it is loaded and nothing is connected. */
async function shackRigOf(clock: Clock): Promise<ShackRig | null> {
  if (spec.rig === null) return null;
  const { openShackRig } = await import("./shack-rig.ts");
  return openShackRig({ ...spec.rig, memoryFile: spec.rigMemoryFile, clock, say });
}

/** Where no broker is to be told, none of it is loaded. */
async function outletOf(clock: Clock, log: () => SeasonLog): Promise<MqttOutlet | null> {
  if (spec.mqtt === null) return null;
  const { MqttOutlet } = await import("./outputs/mqtt/outlet.ts");
  return new MqttOutlet({
    settings: spec.mqtt,
    about: spec.about,
    clock,
    record: recordSource(() => log().database, spec.run.key),
    onChange: (tag, text) => say({ kind: "note", tag, text, by: null }),
  });
}

async function serve(clock: Clock, log: SeasonLog | null, trouble: string | null): Promise<void> {
  const { names, mostClients, trustedProxies, certificate } = spec.listen;
  const gate = new Gate({
    clock,
    draw: randomBytes,
    files: spec.access,
    note: (tag, text, by) => say({ kind: "note", tag, text, by }),
  });
  const door = new Door({ guard: guardFor(names), callers: gate, peerOf: peerReader(trustedProxies) });
  const stream = new Stream({ about: spec.about, clock, mostReaders: mostClients });
  gate.onChange(() => stream.review());
  const desk = new CommandDesk({
    clock,
    runKey: spec.run.key,
    send: (command) => say({ kind: "commands", commands: [command] }),
  });
  const dispatch = await dispatchOf(clock);
  const rig = await shackRigOf(clock);
  const heatRuns = openHeatRuns({
    ...spec.heatRun,
    name: spec.about.name,
    clock,
    rehearse: (rehearsal) => {
      if (spec.about.simulated) say({ kind: "rehearse", rehearsal });
    },
    leaveFan: (seconds) => {
      const action =
        seconds === null ? ({ kind: "fan on again" } as const) : ({ kind: "fan off on purpose", seconds } as const);
      // Its answer stands in the record; a fan that nobody leaves is an alarm.
      desk.submit(action, null, "heat run", "heat run").catch(() => {});
    },
    note: (text) => say({ kind: "note", tag: "heat-run", text, by: null }),
  });
  const tally = new Tally();
  let beatAt = Number.NEGATIVE_INFINITY;
  let wallSeconds = clock.wallSeconds();
  let beat: Beat | null = null;
  let health: HardwareHealth | null = null;
  let mqtt: MqttOutlet | null = null;

  const progress = (): LogProgress =>
    log?.progress ?? {
      acceptedRow: 0,
      acceptedEntry: 0,
      persistedRow: 0,
      persistedEntry: 0,
      writable: false,
      trouble,
      diskFreeRatio: null,
    };

  const take = (parcel: Parcel): void => {
    const seconds = clock.monotonicSeconds();
    if (parcel.newest !== null) {
      beatAt = seconds;
      beat = parcel.newest;
      wallSeconds = parcel.newest.wallSeconds;
      stream.publish(frameOf({ ...parcel.newest, band: bandName(parcel.newest) }));
      dispatch?.take(parcel.newest);
      rig?.hear(parcel.newest.outlook.stage);
    }
    health = parcel.health ?? health;
    for (const row of parcel.rows) {
      heatRuns.take(heatRunBeat(row));
      tally.take(row);
    }
    desk.answer(parcel.answers);
    const now: Now = { seconds, wallSeconds, wallTrusted: parcel.newest?.wallTrusted ?? false };
    log?.take(parcel.rows, parcel.entries, parcel.checkpoint, now);
    mqtt?.take(parcel.newest === null ? null : stream.latest);
    say({ kind: "receipt", number: parcel.number, log: progress() });
  };

  const openedLog = (): SeasonLog => {
    if (log === null) throw new Error(trouble ?? "there is no log");
    return log;
  };
  const answers = new SeasonAnswers({
    log: openedLog,
    name: spec.about.name,
    limitCelsius: spec.about.limit_celsius,
    alarms: spec.wearAlarms,
    bandOf: bandNameOf,
    nowSeconds: () => clock.monotonicSeconds(),
  });

  const alarmTags = spec.alarms.map(({ tag }) => tag);
  const sources: SiteSources = {
    about: spec.about,
    stream,
    clock,
    pages: pagesOrNone(spec.pages),
    door,
    logins: gate,
    note: (tag, text, { who, address }) => say({ kind: "note", tag, text: `${text} (from ${address})`, by: who }),
    latest: () => stream.latest,
    ageSeconds: () => clock.monotonicSeconds() - beatAt,
    ratingBasis: spec.ratingBasis,
    metrics: () => {
      const frame = stream.latest;
      if (frame === null) return null;
      return { about: spec.about, frame, alarmTags, health, tally, nodeVersion: process.versions.node };
    },
    heatRun: { view: () => heatRuns.view, ask: (request) => heatRuns.ask(request) },
    history: (query: HistoryQuery) => openedLog().history(query),
    season: {
      review: (span) => answers.review(span),
      sessions: () => answers.sessions(),
      mark: (session) => answers.mark(session),
      remove: (id) => answers.remove(id),
    },
    notices: dispatch,
    watch: {
      alarms: spec.alarms,
      record: (query) => recordPage(openedLog().database, query),
      check: () =>
        checkOf({
          version: spec.about.version,
          beat,
          health,
          log: progress(),
          notices: dispatch?.health() ?? [],
          rig: rig?.health() ?? null,
          mqtt: mqtt?.health() ?? null,
          nowSeconds: clock.monotonicSeconds(),
        }),
    },
    submit: (action, id, by, from) => desk.submit(action, id, by, from),
    wallSeconds: () => wallSeconds,
  };
  const server = createSite(sources, certificate === null ? null : readCertificate(certificate));
  attachSockets(server, stream, door);
  const unfollow =
    certificate === null
      ? null
      : followCertificate(server, certificate, clock, (text) =>
          say({ kind: "note", tag: "certificate", text, by: null }),
        );

  const stop = async (): Promise<void> => {
    gate.close();
    unfollow?.();
    void dispatch?.close();
    void rig?.close();
    server.close();
    server.closeAllConnections();
    await mqtt?.close();
    log?.close(clock.monotonicSeconds());
    say({ kind: "stopped" });
    parentPort?.close();
  };

  parentPort?.on("message", (message: ToService) => {
    if (message.kind === "parcel") {
      take(message);
      return;
    }
    stream.close();
    void stop();
  });

  const address = await listen(server, spec.listen);
  mqtt = await outletOf(clock, openedLog);
  if (log !== null && spec.about.simulated) await plantDemo(log, clock);
  say({ kind: "ready", address, checkpoint: log?.checkpoint() ?? null, log: progress() });
}

/** Looks before the first row whether the log is empty; goes on beside the work of the thread. */
async function plantDemo(log: SeasonLog, clock: Clock): Promise<void> {
  const { plantDemoSeason } = await import("./demo-season.ts");
  void plantDemoSeason(log, spec.about.version, clock);
}

/** What the operator has to change; null for an error nobody foresaw. */
function problemOf(error: unknown): Problem | null {
  if (error instanceof ListenRefused) {
    const { expected, got } = error;
    return { what: "listen", where: `${spec.listen.host}:${spec.listen.port}`, expected, got };
  }
  if (error instanceof CertificateTrouble) {
    return { what: `listen.${error.file}`, where: "config", expected: error.expected, got: error.message };
  }
  return null;
}

async function begin(): Promise<void> {
  const clock = await systemClock();
  const { log, trouble, problem } = await openLog({ ...spec.log, run: spec.run, bandOf: bandNameOf }, clock);
  if (problem !== null) {
    say({ kind: "refused", problem });
    return;
  }
  try {
    await serve(clock, log, trouble);
  } catch (error) {
    const problem = problemOf(error);
    if (problem === null) throw error;
    log?.close(clock.monotonicSeconds());
    say({ kind: "refused", problem });
    parentPort?.close();
  }
}

await begin();
