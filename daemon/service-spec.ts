// What the service thread is started with, from config, program and places. Plain data, because it crosses to another thread.

import { dirname, join } from "node:path";
import type { GateFiles } from "./access/gate.ts";
import { certificateOf } from "./config/certificate.ts";
import { modelOf } from "./config/model.ts";
import { outletOf } from "./config/mqtt.ts";
import { noticesOf } from "./config/notices.ts";
import { ratingBasisOf } from "./config/rating-basis.ts";
import { type RigSpec, rigOf } from "./config/rig.ts";
import type { RatingBasis } from "./core/physics/rating.ts";
import { describeSetpoint } from "./core/protect/alarm-list.ts";
import type { Program } from "./core/step.ts";
import type { FeedpointOptions } from "./feedpoint.ts";
import { acceptedModelFile, accessFiles } from "./folder.ts";
import type { HeatRunSpec } from "./heat-run/desk.ts";
import type { CertificateFiles } from "./outputs/certificate.ts";
import type { OutletSettings } from "./outputs/mqtt/outlet.ts";
import type { DispatchSettings } from "./outputs/notices/dispatch.ts";
import type { Network } from "./outputs/peer.ts";
import type { Retention } from "./season/retention.ts";
import type { WearAlarms } from "./season/review/wear.ts";
import type { RunIdentity } from "./season/store.ts";
import { programVersion } from "./version.ts";
import type { AlarmRow } from "./wire/alarm.ts";
import type { About } from "./wire/frame.ts";

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

/** `file` is the season log. */
export function serviceSpecOf(options: FeedpointOptions, file: string): ServiceSpec {
  const { read, simulated, listen, clock, pages } = options;
  const { log, listen: listening } = read.config;
  const about = aboutOf(options);
  const key = `${clock.bootId.slice(0, 8)}-${process.pid}-${Math.round(clock.monotonicSeconds() * 1000)}`;
  return {
    about,
    listen: {
      ...listen,
      names: listening.names,
      mostClients: listening.clients,
      trustedProxies: listening.trusted_proxies,
      certificate: certificateOf(read.config.listen, read.placeOf),
    },
    access: accessFiles(dirname(file), simulated),
    pages,
    run: {
      key,
      bootId: clock.bootId,
      version: about.version,
      simulated,
      model: JSON.stringify(options.program.model),
    },
    notices: noticesOf(read),
    rig: rigOf(read),
    rigMemoryFile: join(dirname(file), "rig-power.json"),
    mqtt: outletOf(read, dirname(file), simulated),
    heatRun: {
      prior: modelOf(read),
      inUse: options.program.model,
      modelFile: acceptedModelFile(dirname(file), simulated),
      limits: { fanOffCelsius: options.program.limits.reduceCelsius },
      runKey: key,
      recordingFile: join(dirname(file), simulated ? "simulated-heat-run.csv" : "heat-run.csv"),
      courseFile: join(dirname(file), simulated ? "simulated-heat-run.json" : "heat-run.json"),
    },
    ratingBasis: ratingBasisOf(read, options.program.model, options.program.limits),
    wearAlarms: wearAlarmsOf(options.program),
    alarms: options.program.alarmList.map(alarmRow),
    log: { file, retention: { keepSeconds: log.keep, mostBytes: log.most_megabytes * 1e6 } },
  };
}

function alarmRow(alarm: Program["alarmList"][number]): AlarmRow {
  return {
    tag: alarm.tag,
    priority: alarm.priority,
    comes: describeSetpoint(alarm),
    latched: alarm.latch,
    cause: alarm.cause,
    consequence: alarm.consequence,
    response: alarm.response,
    respond_within_seconds: alarm.respondWithinSeconds,
  };
}

/** By the names under which the season's review knows them. */
export function wearAlarmsOf({ alarms, fan }: Program): ServiceSpec["wearAlarms"] {
  return {
    flow_factor: alarms.flowFactor,
    loss_factor: alarms.lossFactor,
    ...(fan === null
      ? {}
      : {
          fan_rpm_per_volt: (fan.slowRatio * fan.nominalRpm) / fan.nominalVolts,
          fan_start_seconds: fan.startSeconds,
        }),
  };
}

function aboutOf({ read, program, simulated, speed, clock }: FeedpointOptions): About {
  return {
    name: read.config.feedpoint.name,
    simulated,
    speed,
    version: programVersion(),
    boot_id: clock.bootId,
    limit_celsius: program.limits.limitCelsius,
    reduce_celsius: program.limits.reduceCelsius,
    toroids: read.config.transformer.toroids,
    fan_nominal_rpm: program.fan?.nominalRpm ?? null,
  };
}
