// The overview of many feedpoints as it travels to its page: one row for each, then what changed. Types, and the way back from a
// change to a row. It knows no broker.

import type { Frame } from "./frame.ts";

/** What of a frame a row of the overview is made from. */
export const GLANCE_KEYS = [
  "at_seconds",
  "wall_seconds",
  "quantities",
  "headroom",
  "power_stage",
  "reasons",
  "bypassed_until_seconds",
  "relay_permit",
  "relay_readback",
  "fan",
  "band",
  "transmitting",
  "degraded",
  "alarms",
] as const satisfies readonly (keyof Frame)[];
export type Glance = Pick<Frame, (typeof GLANCE_KEYS)[number]>;

/** `unknown`: nothing was ever said about it. */
export type Presence = "online" | "stopped" | "lost" | "unknown";

export type OverviewRow = {
  readonly id: string;
  /** Null until the feedpoint has said who it is. */
  readonly name: string | null;
  readonly simulated: boolean;
  /** Address of its own page; null where it gave none. */
  readonly page: string | null;
  readonly limit_celsius: number | null;
  /** How often it speaks, s. */
  readonly every_seconds: number;
  readonly presence: Presence;
  /** When its state was made, on the monotonic clock of the overview's own machine; null without a state. */
  readonly made_seconds: number | null;
  /** The first thing that could not be read of what came last; null when all could. */
  readonly unreadable: string | null;
  readonly glance: Glance | null;
};

/** Changed keys of one row; within `glance`, changed keys only. */
export type RowChange = { readonly id: string } & Partial<Omit<OverviewRow, "id" | "glance">> & {
    readonly glance?: Partial<Glance> | null;
  };

export type OverviewHead = {
  /** The overview machine's monotonic clock when this was sent. */
  readonly now_seconds: number;
  /** Why the broker is not in reach; null while it is. */
  readonly broker_trouble: string | null;
  /** Feedpoints heard that found no room. */
  readonly hidden: number;
};

export type OverviewMessage =
  | (OverviewHead & {
      readonly type: "snapshot";
      readonly sequence: number;
      readonly version: string;
      readonly most: number;
      readonly rows: readonly OverviewRow[];
    })
  | (OverviewHead & {
      readonly type: "delta";
      readonly sequence: number;
      readonly rows: readonly RowChange[];
      readonly gone: readonly string[];
    });

/** The row that a change makes; null when it changes a row that is not there. */
export function changedRow(before: OverviewRow | undefined, change: RowChange): OverviewRow | null {
  const { glance, ...rest } = change;
  if (before === undefined) return null;
  if (glance === undefined) return { ...before, ...rest };
  if (glance === null) return { ...before, ...rest, glance: null };
  return { ...before, ...rest, glance: { ...before.glance, ...glance } as Glance };
}
