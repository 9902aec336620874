// One running feedpoint put together: service thread first (it holds port and log alone), then hardware, then the heartbeat.
// It wires the parts to each other and takes them down in order; it decides nothing.

import type { Clock, Hardware } from "../hardware/ports.ts";
import { readCheckpoint } from "./checkpoint.ts";
import type { ReadConfig } from "./config/parse.ts";
import { driveSettings } from "./config/rig.ts";
import type { Checkpoint } from "./core/protect/checkpoint.ts";
import type { Program } from "./core/step.ts";
import type { Rehearsal } from "./crossing/messages.ts";
import { ServiceThread } from "./crossing/thread.ts";
import { Heartbeat } from "./cycle.ts";
import { exposureWarnings } from "./exposure.ts";
import { dataFolder, logFile, makeFolder } from "./folder.ts";
import { hardwareHealth } from "./hardware-health.ts";
import { supervisorOf } from "./outputs/supervisor.ts";
import { serviceSpecOf } from "./service-spec.ts";
import { HeardRig, type Rig, type RigWord } from "./station/rig.ts";
import { Sweep } from "./sweep.ts";

/** The page asks no faster, and nothing is decided by it. */
const HEALTH_SECONDS = 3;

/** Hardware that is open, with what the shack says beside it. */
export type Opened = {
  readonly hardware: Hardware;
  /** The shack where no rig is linked. */
  readonly rig: Rig;
  readonly warnings: readonly string[];
  /** A simulated shack only: what to do for a heat run. */
  readonly rehearse?: (rehearsal: Rehearsal) => void;
  /** A simulated shack only: from now on it sends what a linked rig says. */
  readonly follow?: (word: () => RigWord | null) => void;
};

export type FeedpointOptions = {
  readonly read: ReadConfig;
  readonly program: Program;
  readonly simulated: boolean;
  /** Seconds of the hardware's clock per second of the machine's. */
  readonly speed: number;
  readonly listen: { readonly host: string; readonly port: number };
  /** Replaces `log.folder`. */
  readonly folder: string | undefined;
  /** The machine's clock. */
  readonly clock: Clock;
  /** Compiled entry of the service thread, and the folder of the built page. */
  readonly serviceEntry: URL;
  readonly pages: string;
  /** Opens the hardware; called only when port and log are ours. */
  readonly open: () => Promise<Opened>;
  readonly environment: Readonly<Record<string, string | undefined>>;
};

export type RunningFeedpoint = {
  readonly address: string;
  readonly logFile: string;
  readonly warnings: readonly string[];
  readonly hardware: Hardware;
  stop(): Promise<void>;
};

/**
 * Resolves when the first cycle is complete and the page is served.
 * @throws RequestError for a port or a folder in use; what `open` throws. Everything is taken down again before.
 */
export async function startFeedpoint(options: FeedpointOptions): Promise<RunningFeedpoint> {
  const { clock, read, simulated } = options;
  const folder = dataFolder(options.folder ?? read.config.log.folder);
  makeFolder(folder);
  const spec = serviceSpecOf(options, logFile(folder, simulated));
  let heartbeat: Heartbeat | null = null;
  const early: [tag: string, text: string, by: string | null][] = [];
  const note = (tag: string, text: string, by: string | null = null): void => {
    if (heartbeat === null) early.push([tag, text, by]);
    else heartbeat.note(tag, text, by);
  };
  let rehearse: Opened["rehearse"];
  const heard = spec.rig === null ? null : new HeardRig(clock);
  const thread = new ServiceThread({
    entry: options.serviceEntry,
    workerData: spec,
    clock,
    onTrouble: note,
    onNote: note,
    onCommands: (commands) => heartbeat?.deliver(commands),
    onRehearse: (rehearsal) => rehearse?.(rehearsal),
    onRig: (word) => heard?.hear(word),
  });
  const { address, left } = await thread.open();
  let hardware: Hardware | null = null;
  try {
    const unlinked = await options.open();
    const opened = heard === null ? unlinked : { ...unlinked, rig: heard.reading };
    if (heard !== null) opened.follow?.(() => heard.word);
    hardware = opened.hardware;
    rehearse = opened.rehearse;
    const { checkpoint, unreadable } = readCheckpoint(left, spec.log.file);
    heartbeat = heartbeatOf(options, opened, thread, checkpoint, note);
    for (const entry of early) heartbeat.note(...entry);
    if (unreadable !== null)
      heartbeat.note("checkpoint-unreadable", `${spec.log.file}: ${unreadable}: a trip may stand`);
    heartbeat.note(
      "started",
      `emberwire ${spec.about.version} started${simulated ? " on the simulated feedpoint" : ""}`,
    );
    await heartbeat.start();
    const { listen, access } = spec;
    const exposure = { host: listen.host, encrypted: listen.certificate !== null, register: access.register };
    const warnings = [...opened.warnings, ...exposureWarnings(exposure)];
    return running(heartbeat, thread, { ...opened, warnings }, address, spec.log.file);
  } catch (error) {
    await hardware?.close();
    await thread.close();
    throw error;
  }
}

function running(
  heartbeat: Heartbeat,
  thread: ServiceThread,
  opened: Opened,
  address: string,
  file: string,
): RunningFeedpoint {
  const stop = async (): Promise<void> => {
    await heartbeat.stop();
    await opened.hardware.close();
    await thread.close();
  };
  return { address, logFile: file, warnings: opened.warnings, hardware: opened.hardware, stop };
}

function heartbeatOf(
  options: FeedpointOptions,
  { hardware, rig }: Opened,
  thread: ServiceThread,
  checkpoint: Checkpoint | null,
  note: (tag: string, text: string) => void,
): Heartbeat {
  const { clock, read, program, speed, environment } = options;
  const sweep = new Sweep({ hardware, drive: driveSettings(read), rig, clock });
  const startedSeconds = clock.monotonicSeconds();
  let reportedSeconds = Number.NEGATIVE_INFINITY;
  return new Heartbeat({
    hardware,
    program,
    checkpoint,
    sweep,
    service: () => ({ silentSeconds: thread.silentSeconds, log: thread.log }),
    publish: (publication) => {
      const now = clock.monotonicSeconds();
      if (now - reportedSeconds >= HEALTH_SECONDS) {
        reportedSeconds = now;
        thread.report(
          hardwareHealth({
            hardware,
            sweep,
            uptimeSeconds: now - startedSeconds,
            residentBytes: process.memoryUsage.rss(),
            serviceRestarts: thread.restarts,
          }),
        );
      }
      thread.publish(publication);
    },
    supervisor: supervisorOf({ environment, clock, onTrouble: (text) => note("supervisor", text) }),
    clock,
    speed,
    errors: () => sweep.totals,
    residentBytes: () => process.memoryUsage.rss(),
    rigAgeSeconds: () => rig().ageSeconds,
  });
}
