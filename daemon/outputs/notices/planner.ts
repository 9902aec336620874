// Which alarms and stages deserve a notice now: pure, from what was already told to what should be told.
// It neither sends nor limits; the outbox does.

import type { AlarmState, AlarmStatus, PowerStage } from "../../core/effects.ts";
import type { Notice, NoticePriority } from "./notice.ts";

export type PlannerSettings = {
  /** The lowest priority that is told at all. */
  readonly lowestPriority: NoticePriority;
  /** High priority is repeated this often until somebody acknowledges it. */
  readonly repeatSeconds: number;
};

/** Per tag that is being told: when it was last told. Bounded by the alarm list. */
export type PlannerState = {
  readonly told: ReadonlyMap<string, { readonly atSeconds: number; readonly priority: NoticePriority }>;
  readonly stage: PowerStage;
  /** A lowered stage was told and its return was not. */
  readonly stageTold: boolean;
};

export type Situation = {
  readonly atSeconds: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
  readonly stage: PowerStage;
  readonly reasons: readonly string[];
  readonly alarms: readonly AlarmStatus[];
};

const RANK: Readonly<Record<NoticePriority, number>> = { high: 0, medium: 1, low: 2 };

/** States that still want somebody's attention. */
const CALLING: ReadonlySet<AlarmState> = new Set([
  "unacknowledged",
  "latched unacknowledged",
  "returned to normal unacknowledged",
]);

/** Nothing told yet. A daemon that starts inhibited does not announce that as a change. */
export function beginPlanner(stage: PowerStage): PlannerState {
  return { told: new Map(), stage, stageTold: false };
}

/** The notices that this situation adds, worst first, and the state that remembers them. */
export function planNotices(
  settings: PlannerSettings,
  state: PlannerState,
  situation: Situation,
): { readonly state: PlannerState; readonly notices: readonly Notice[] } {
  const told = new Map(state.told);
  const notices: Notice[] = [];
  const say = (tag: string, priority: NoticePriority, kind: Notice["kind"], text: string): void => {
    const { atSeconds, wallSeconds, wallTrusted } = situation;
    notices.push({ tag, priority, kind, text, atSeconds, wallSeconds, wallTrusted });
  };

  for (const alarm of situation.alarms) {
    if (RANK[alarm.priority] > RANK[settings.lowestPriority] || !CALLING.has(alarm.state)) continue;
    const before = told.get(alarm.tag);
    const repeat =
      alarm.priority === "high" &&
      before !== undefined &&
      situation.atSeconds - before.atSeconds >= settings.repeatSeconds;
    if (before !== undefined && !repeat) continue;
    say(alarm.tag, alarm.priority, repeat ? "still unacknowledged" : "raised", alarm.text);
    told.set(alarm.tag, { atSeconds: situation.atSeconds, priority: alarm.priority });
  }

  const standing = new Set(situation.alarms.map(({ tag }) => tag));
  for (const [tag, { priority }] of told) {
    if (standing.has(tag)) continue;
    say(tag, priority, "cleared", `${tag} is normal again`);
    told.delete(tag);
  }

  // Full power is news only to who was told that it was taken away; a start is none.
  const lowered = situation.stage !== "full";
  const changed = situation.stage !== state.stage && (lowered || state.stageTold);
  if (changed) {
    const reasons = situation.reasons.length > 0 ? `: ${situation.reasons.join("; ")}` : "";
    say("POWER_STAGE", lowered ? "high" : "low", "stage", `Power is now ${situation.stage}${reasons}`);
  }

  notices.sort((a, b) => RANK[a.priority] - RANK[b.priority]);
  return { state: { told, stage: situation.stage, stageTold: changed ? lowered : state.stageTold }, notices };
}
