// The one sentence that stands first: can I keep transmitting? A pure choice among the wordings of strings.ts, worst news
// first. It never softens: what is not known is said to be not known.

import type { About, Frame } from "../daemon/wire/frame.ts";
import type { Glance } from "../daemon/wire/overview.ts";
import { type Figures, joined, roundedWatts } from "./figures.ts";
import { freshness } from "./model.ts";
import { strings } from "./strings.ts";

/** `calm`: carry on; `watch`: keep an eye on it; `act`: do something; `blind`: there is nothing to go by. */
export type Tone = "calm" | "watch" | "act" | "blind";
export type Sentence = { readonly text: string; readonly tone: Tone };

export type Circumstances = {
  /** A whole frame, or what an overview knows of one. */
  readonly frame: Glance | null;
  readonly about: Pick<About, "name"> | null;
  /** Age of the frame, s; null before the first. */
  readonly ageSeconds: number | null;
  /** Largest drive of the last minutes, W; what "full power" means to this operator. */
  readonly heaviestDriveWatts: number | null;
  readonly figures: Figures;
};

const words = strings.sentence;

/** Below this nothing worth speaking of is being transmitted, W. */
const QUIET_WATTS = 5;

function sustainable(frame: Glance, figures: Figures): string | null {
  const watts = frame.quantities.sustainable_watts?.value ?? null;
  return watts === null ? null : joined(figures.power(roundedWatts(watts)));
}

/** The reason to act on: a stalled fan before the heat that follows from it; setpoints after a colon stay in the panel. */
function mainReason(frame: Glance): string {
  const fan = frame.fan === "stalled" ? frame.reasons.find((reason) => reason.includes("fan")) : undefined;
  return (fan ?? frame.reasons[0] ?? "").split(":", 1)[0] ?? "";
}

/** The pace is not known because the daemon has just started, not because anything is amiss. */
export const isYoung = ({ degraded }: Pick<Glance, "degraded">): boolean => degraded.includes("restarted");

function ofHeadroom(frame: Glance, heaviest: number | null, figures: Figures): Sentence {
  const holds = sustainable(frame, figures);
  const { headroom } = frame;
  switch (headroom.kind) {
    case "at limit":
      return { text: words.atLimit(holds), tone: "act" };
    case "unknown":
      return { text: isYoung(frame) ? words.young(holds) : words.unknown, tone: "blind" };
    case "reaches limit": {
      if (headroom.seconds < 60) return { text: words.underAMinute(holds), tone: "act" };
      const tone = headroom.seconds < 900 ? "watch" : "calm";
      return { text: words.reachesLimit(joined(figures.duration(headroom.seconds)), holds), tone };
    }
    case "levels off": {
      const level = joined(figures.temperature(headroom.level_celsius, 0));
      const watts = frame.quantities.sustainable_watts?.value ?? null;
      if (heaviest !== null && heaviest < QUIET_WATTS) return { text: words.quiet(level, holds), tone: "calm" };
      if (watts === null || holds === null || heaviest === null || frame.degraded.length > 0)
        return { text: words.levelsOff(level), tone: "calm" };
      if (watts >= heaviest) return { text: words.fullPowerIsSafe(level), tone: "calm" };
      return { text: words.onlyAtThisPace(level, holds), tone: "calm" };
    }
  }
}

/** What to say, and how gravely. */
export function sentence({ frame, about, ageSeconds, heaviestDriveWatts, figures }: Circumstances): Sentence {
  const age = freshness(ageSeconds);
  if (frame === null || about === null || ageSeconds === null || age === "never") {
    return { text: words.connecting, tone: "blind" };
  }
  if (age === "silent") return { text: words.noData(Math.floor(ageSeconds)), tone: "blind" };
  if (frame.bypassed_until_seconds !== null) {
    const left = joined(figures.duration(frame.bypassed_until_seconds - frame.at_seconds));
    return { text: words.bypassed(left), tone: "act" };
  }
  const disobedient = (["inhibit", "reduce"] as const).find(
    (name) => !frame.relay_permit[name] && frame.relay_readback?.[name] === true,
  );
  if (disobedient !== undefined) return { text: words.stillPermitted(strings.stage.line[disobedient]), tone: "act" };
  const reason = figures.readable(mainReason(frame));
  if (frame.power_stage === "inhibited") return { text: words.inhibited(reason), tone: "act" };
  if (frame.power_stage === "reduced") return { text: words.reduced(reason, sustainable(frame, figures)), tone: "act" };
  if (frame.fan === "stalled") return { text: words.fanStalled(sustainable(frame, figures)), tone: "act" };
  return ofHeadroom(frame, heaviestDriveWatts, figures);
}

/** What makes the sentence less certain than it sounds, in words; shown under it, never hidden. */
export function caveats(frame: Frame): readonly string[] {
  const notes: string[] = [];
  const relay = strings.relayDisagreement(frame.relay_permit, frame.relay_readback);
  if (relay !== null) notes.push(relay);
  if (frame.power_stage !== "inhibited" && frame.power_stage !== "reduced" && frame.fan !== "turning") {
    const fan = strings.fanCaveat(frame.fan);
    if (fan !== null) notes.push(fan);
  }
  if (frame.degraded.length > 0) notes.push(strings.degradedEstimate(frame.degraded));
  if (frame.calibration === "not calibrated") notes.push(strings.notCalibrated);
  if (!frame.wall_trusted) notes.push(strings.clockNotSet);
  return notes;
}
