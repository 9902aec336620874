// How well the hardware and the daemon are, as it travels to the page. A leaf that imports nothing, and holds no secret.

/** Counts since the daemon started, with the station receiving and transmitting. */
export type Split = { readonly receiving: number; readonly transmitting: number };

/** One thing that is read each cycle. */
export type PartHealth = {
  readonly name: string;
  readonly part: string;
  readonly place: string;
  readonly role: string;
  readonly errors: readonly (Split & { readonly code: string })[];
};

export type BusCounters = {
  readonly bus: string;
  readonly transfers: number;
  readonly retries: number;
  readonly reopens: number;
  readonly errors: number;
  readonly stuck: boolean;
};

/** What the heartbeat tells of the hardware, every few seconds. */
export type HardwareHealth = {
  readonly parts: readonly PartHealth[];
  readonly buses: readonly BusCounters[];
  /** Sweeps over all parts: what the errors are to be divided by. */
  readonly sweeps: Split;
  readonly relay_place: string | null;
  readonly uptime_seconds: number;
  readonly resident_bytes: number;
  readonly service_restarts: number;
};

/** The link to the shack's rig. */
export type RigHealth = {
  /** Why nothing is heard; null while it answers. */
  readonly trouble: string | null;
  /** Where its power is set, 0 to 1; null = it does not say. */
  readonly power_ratio: number | null;
  /** What it was set to before it was lowered; null while it is not lowered. */
  readonly found_ratio: number | null;
};

/** One of those that tell of the drive, best first. */
export type DriveSourceRow = {
  readonly name: string;
  readonly watts: number | null;
  readonly code: string | null;
  readonly transmitting: boolean | null;
  /** The drive that is believed is this one's. */
  readonly used: boolean;
};

/** The answer of /api/v1/check. */
export type Check = {
  readonly version: string;
  readonly node: string;
  /** null until the heartbeat told of it. */
  readonly hardware: HardwareHealth | null;
  readonly tach: {
    readonly rpm: number | null;
    /** 1 = every interval equal, 0 = noise; null where it cannot be told. */
    readonly regularity: number | null;
    readonly rejected_edges: number;
    /** Seen by the kernel and never got by the daemon; null where nobody counts them. */
    readonly lost_edges: number | null;
  } | null;
  readonly cycle_seconds: number | null;
  readonly cycle_late_seconds: number | null;
  readonly wall_trusted: boolean;
  readonly rig_link_age_seconds: number | null;
  /** null where no rig is linked. */
  readonly rig: RigHealth | null;
  /** Empty where nobody tells: then the loss is worked back from the air alone. */
  readonly drive_sources: readonly DriveSourceRow[];
  /** Mean power by one source over that by the next; null = nothing to compare. */
  readonly drive_power_ratio: number | null;
  readonly swr: number | null;
  /** The ways in which people are told of alarms; empty where nobody is. */
  readonly notices: readonly {
    readonly name: string;
    readonly waiting: number;
    /** Deliveries that failed since the last one that was taken. */
    readonly failures: number;
    /** null before the first. */
    readonly delivered_seconds_ago: number | null;
  }[];
  /** The line to an MQTT broker; null where none is configured. */
  readonly mqtt: {
    readonly connected: boolean;
    /** What stands in the way, in words; null where nothing does. */
    readonly trouble: string | null;
    /** Lines of the record that the broker has not taken yet; null where that cannot be told. */
    readonly record_waiting: number | null;
    /** null before the first. */
    readonly delivered_seconds_ago: number | null;
  } | null;
  readonly log: {
    readonly writable: boolean;
    readonly trouble: string | null;
    readonly disk_free_ratio: number | null;
  };
};
