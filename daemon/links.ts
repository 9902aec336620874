// The service thread's links outward: notices, the shack's rig, the broker. Where one is not configured nothing of it is loaded
// and nothing is connected. They hear what the heartbeat published and tell how they are; they decide nothing.

import type { Clock } from "../hardware/ports.ts";
import type { Beat, ToHeartbeat } from "./crossing/messages.ts";
import type { CheckSource } from "./outputs/check.ts";
import type { MqttOutlet } from "./outputs/mqtt/outlet.ts";
import type { Dispatch } from "./outputs/notices/dispatch.ts";
import type { SeasonLog } from "./season/log.ts";
import { recordSource } from "./season/record-page.ts";
import type { ServiceSpec } from "./service-spec.ts";
import type { ShackRig } from "./shack-rig.ts";
import type { Frame } from "./wire/frame.ts";

export type LinksOptions = {
  readonly spec: ServiceSpec;
  readonly clock: Clock;
  /** @throws when there is no log */
  readonly log: () => SeasonLog;
  /** To the heartbeat. */
  readonly say: (message: ToHeartbeat) => void;
};

export class Links {
  /** Who is told of alarms; null where nobody is. */
  readonly notices: Dispatch | null;
  readonly #rig: ShackRig | null;
  readonly #options: LinksOptions;
  #mqtt: MqttOutlet | null = null;

  private constructor(options: LinksOptions, notices: Dispatch | null, rig: ShackRig | null) {
    this.#options = options;
    this.notices = notices;
    this.#rig = rig;
  }

  /** Loads what is configured; a far side that does not answer is no error. */
  static async open(options: LinksOptions): Promise<Links> {
    return new Links(options, await noticesOf(options), await rigOf(options));
  }

  /** The broker hears of a daemon only once it serves: a second one, refused its port, must not speak in its name. */
  async tellBroker(): Promise<void> {
    this.#mqtt = await brokerOf(this.#options);
  }

  /** A cycle whose permit lines have been told first, whether they took it or not. */
  hear(beat: Beat): void {
    this.notices?.take(beat);
    this.#rig?.hear(beat.outlook.stage);
  }

  /** After the log has taken its part: the newest frame, or null when only the record moved. */
  tell(frame: Frame | null): void {
    this.#mqtt?.take(frame);
  }

  health(): Pick<CheckSource, "notices" | "rig" | "mqtt"> {
    return {
      notices: this.notices?.health() ?? [],
      rig: this.#rig?.health() ?? null,
      mqtt: this.#mqtt?.health() ?? null,
    };
  }

  /** Resolves once the broker has been said goodbye, or that took too long. */
  async close(): Promise<void> {
    void this.notices?.close();
    void this.#rig?.close();
    await this.#mqtt?.close();
  }
}

async function noticesOf({ spec, clock, say }: LinksOptions): Promise<Dispatch | null> {
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

async function rigOf({ spec, clock, say }: LinksOptions): Promise<ShackRig | null> {
  if (spec.rig === null) return null;
  const { openShackRig } = await import("./shack-rig.ts");
  return openShackRig({ ...spec.rig, memoryFile: spec.rigMemoryFile, clock, say });
}

async function brokerOf({ spec, clock, log, say }: LinksOptions): Promise<MqttOutlet | null> {
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
