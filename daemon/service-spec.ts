// What the service thread is started with. Plain data, because it crosses to another thread.

import type { GateFiles } from "./access/gate.ts";
import type { RigSpec } from "./config/rig.ts";
import type { RatingBasis } from "./core/physics/rating.ts";
import type { HeatRunSpec } from "./heat-run/desk.ts";
import type { CertificateFiles } from "./outputs/certificate.ts";
import type { OutletSettings } from "./outputs/mqtt/outlet.ts";
import type { DispatchSettings } from "./outputs/notices/dispatch.ts";
import type { Network } from "./outputs/peer.ts";
import type { Retention } from "./season/retention.ts";
import type { WearAlarms } from "./season/review/wear.ts";
import type { RunIdentity } from "./season/store.ts";
import type { AlarmRow } from "./wire/alarm.ts";
import type { About } from "./wire/frame.ts";

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
