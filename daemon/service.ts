// The service thread: what the heartbeat publishes → stream, page and season log; operators' commands back.
// It may stall, crash and be started anew at any time; it holds nothing that the heartbeat needs.

import { randomBytes } from "node:crypto";
import { parentPort, workerData } from "node:worker_threads";
import { systemClock } from "../hardware/clock.ts";
import type { Clock } from "../hardware/ports.ts";
import { Gate } from "./access/gate.ts";
import { Refusals } from "./access/refusals.ts";
import type { Problem } from "./config/problem.ts";
import { bandOf } from "./core/physics/bands.ts";
import type { Beat, LogProgress, Parcel, ToHeartbeat, ToService } from "./crossing/messages.ts";
import { heatRunBeat, openHeatRuns } from "./heat-run/desk.ts";
import type { HeatRunSession } from "./heat-run/session.ts";
import { LastHeard } from "./last-heard.ts";
import { Links } from "./links.ts";
import { leftBehind, noProgress, openLog } from "./open-log.ts";
import { CertificateTrouble, followCertificate, readCertificate } from "./outputs/certificate.ts";
import { CommandDesk } from "./outputs/desk.ts";
import { Door } from "./outputs/door.ts";
import { frameOf } from "./outputs/frame.ts";
import { guardFor } from "./outputs/guard.ts";
import { type Crowd, createSite } from "./outputs/http.ts";
import { ListenRefused, listen } from "./outputs/listen.ts";
import { Tally } from "./outputs/metrics/tally.ts";
import { crowdWords, peerReader, proxiesIn } from "./outputs/peer.ts";
import { Stream } from "./outputs/stream.ts";
import { attachSockets, STREAM_PATH } from "./outputs/stream-socket.ts";
import { SeasonAnswers } from "./season/answers.ts";
import type { Now, SeasonLog } from "./season/log.ts";
import type { ServiceSpec } from "./service-spec.ts";
import { siteSources } from "./site-sources.ts";

const spec = workerData as ServiceSpec;

function say(message: ToHeartbeat): void {
  parentPort?.postMessage(message);
}

function bandName({ outlook }: Beat): string | null {
  const frequencyHertz = outlook.readings.drive?.frequencyHertz ?? null;
  return frequencyHertz === null ? null : bandNameOf(frequencyHertz);
}

const bandNameOf = (frequencyHertz: number): string | null => bandOf(frequencyHertz)?.name ?? null;

/** Heat runs, of which the heartbeat hears as of an operator's commands. */
function heatRunsAt(desk: CommandDesk, clock: Clock): HeatRunSession {
  return openHeatRuns({
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
}

async function serve(clock: Clock, log: SeasonLog | null, trouble: string | null): Promise<void> {
  const { names, mostClients, trustedProxies, certificate } = spec.listen;
  const gate = new Gate({
    clock,
    draw: randomBytes,
    files: spec.access,
    note: (tag, text, by) => say({ kind: "note", tag, text, by }),
  });
  const isProxy = proxiesIn(trustedProxies);
  const door = new Door({ guard: guardFor(names), callers: gate, peerOf: peerReader(isProxy) });
  const stream = new Stream({ about: spec.about, clock, mostReaders: mostClients });
  gate.onChange(() => stream.audience.review());
  const desk = new CommandDesk({
    clock,
    runKey: spec.run.key,
    send: (command) => say({ kind: "commands", commands: [command] }),
  });
  const openedLog = (): SeasonLog => {
    if (log === null) throw new Error(trouble ?? "there is no log");
    return log;
  };
  const links = await Links.open({ spec, clock, log: openedLog, say });
  const heatRuns = heatRunsAt(desk, clock);
  const tally = new Tally();
  const heard = new LastHeard(clock);
  const progress = (): LogProgress => log?.progress ?? noProgress(trouble);

  const take = (parcel: Parcel): void => {
    heard.hear(parcel);
    if (parcel.newest !== null) {
      stream.publish(frameOf({ ...parcel.newest, band: bandName(parcel.newest) }));
      links.hear(parcel.newest);
    }
    for (const row of parcel.rows) {
      heatRuns.take(heatRunBeat(row));
      tally.take(row);
    }
    desk.answer(parcel.answers);
    const seconds = clock.monotonicSeconds();
    const now: Now = { seconds, wallSeconds: heard.wallSeconds, wallTrusted: parcel.newest?.wallTrusted ?? false };
    log?.take(parcel.rows, parcel.entries, parcel.checkpoint, now);
    links.tell(parcel.newest === null ? null : stream.latest);
    say({ kind: "receipt", number: parcel.number, log: progress() });
  };

  const answers = new SeasonAnswers({
    log: openedLog,
    name: spec.about.name,
    limitCelsius: spec.about.limit_celsius,
    alarms: spec.wearAlarms,
    bandOf: bandNameOf,
    nowSeconds: () => clock.monotonicSeconds(),
  });

  const sources = siteSources({
    spec,
    clock,
    door,
    gate,
    stream,
    desk,
    links,
    heatRuns,
    answers,
    tally,
    heard,
    openedLog,
    progress,
    say,
  });
  const note = (tag: string) => (text: string) => say({ kind: "note", tag, text, by: null });
  const crowds = new Refusals(clock, note("crowded"));
  const crowd: Crowd = { isProxy, onCrowd: (address) => crowds.add(crowdWords(address)) };
  const server = createSite(sources, certificate && readCertificate(certificate), crowd);
  attachSockets(server, STREAM_PATH, stream.audience, door);
  const unfollow = followCertificate(server, certificate, clock, note("certificate"));

  const stop = async (): Promise<void> => {
    gate.close();
    crowds.close();
    unfollow();
    server.close();
    server.closeAllConnections();
    await links.close();
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
  await links.tellBroker();
  if (log !== null && spec.about.simulated) await plantDemo(log, clock);
  say({ kind: "ready", address, left: leftBehind(log, spec.log.file), log: progress() });
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
