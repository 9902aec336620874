// The alarm's sound: tones made by Web Audio, different per priority, only after the operator asked for it. High repeats
// until it is acknowledged. It never decides what an alarm is.

import type { WireAlarm } from "../daemon/wire/frame.ts";
import type { Cancel, PageClock } from "./clock.ts";

export type Priority = WireAlarm["priority"];
/** One tone: when it begins, s; its frequency, Hz; how long it lasts, s. */
export type Tone = { readonly atSeconds: number; readonly hertz: number; readonly seconds: number };

/** Told apart by count and pitch, so also by an ear that hears only one of them. */
export const PATTERNS: { readonly [priority in Priority]: readonly Tone[] } = {
  high: [
    { atSeconds: 0, hertz: 660, seconds: 0.16 },
    { atSeconds: 0.22, hertz: 880, seconds: 0.16 },
    { atSeconds: 0.44, hertz: 1175, seconds: 0.3 },
  ],
  medium: [
    { atSeconds: 0, hertz: 587, seconds: 0.25 },
    { atSeconds: 0.38, hertz: 587, seconds: 0.25 },
  ],
  low: [{ atSeconds: 0, hertz: 392, seconds: 0.4 }],
};

export const REPEAT_SECONDS = 6;
const LOUDNESS = 0.22;
const RANK: readonly Priority[] = ["high", "medium", "low"];

export const isWaiting = ({ state }: Pick<WireAlarm, "state">): boolean => state.includes("unacknowledged");
const nameOf = ({ tag, since_seconds }: WireAlarm): string => `${tag} ${since_seconds}`;

/** The alarms of `after` that began to ask for the operator since `before`. */
export function newlyWaiting(before: readonly WireAlarm[], after: readonly WireAlarm[]): readonly WireAlarm[] {
  const known = new Set(before.filter(isWaiting).map(({ tag }) => tag));
  return after.filter((alarm) => isWaiting(alarm) && !known.has(alarm.tag));
}

/** The worst priority among these; null when there are none. */
export const worstOf = (alarms: readonly WireAlarm[]): Priority | null =>
  RANK.find((priority) => alarms.some((alarm) => alarm.priority === priority)) ?? null;

export type Horn = {
  readonly enabled: boolean;
  /** From a click, because browsers allow sound only then. */
  readonly enable: () => void;
  readonly silence: () => void;
  readonly test: (priority: Priority) => void;
  /** What stands now; sounds what is new, and keeps calling for high ones. */
  readonly follow: (alarms: readonly WireAlarm[]) => void;
};

type HornOptions = {
  readonly clock: Pick<PageClock, "after">;
  /** Plays a pattern; called only once enabled. */
  readonly play: (tones: readonly Tone[]) => void;
};

/** The logic of the horn without the browser's audio. */
export function createHorn({ clock, play }: HornOptions): Horn {
  let enabled = false;
  let heard: ReadonlySet<string> = new Set();
  let calling: Cancel | null = null;
  let standing: readonly WireAlarm[] = [];

  const highWaits = (): boolean => standing.some((alarm) => isWaiting(alarm) && alarm.priority === "high");
  const call = (): void => {
    calling = null;
    if (!enabled || !highWaits()) return;
    play(PATTERNS.high);
    calling = clock.after(REPEAT_SECONDS, call);
  };
  const stop = (): void => {
    calling?.();
    calling = null;
  };
  return {
    get enabled() {
      return enabled;
    },
    enable: () => {
      enabled = true;
      if (calling === null) call();
    },
    silence: () => {
      enabled = false;
      stop();
    },
    test: (priority) => play(PATTERNS[priority]),
    follow: (alarms) => {
      standing = alarms;
      const waiting = alarms.filter(isWaiting);
      const fresh = waiting.filter((alarm) => !heard.has(nameOf(alarm)));
      heard = new Set(waiting.map(nameOf));
      if (!enabled) return;
      if (!highWaits()) stop();
      const worst = worstOf(fresh);
      if (worst === "high") {
        stop();
        call();
      } else if (worst !== null) play(PATTERNS[worst]);
    },
  };
}

/** Plays through the browser's audio; the context is made at the first tone. */
export function browserPlayer(): (tones: readonly Tone[]) => void {
  let context: AudioContext | null = null;
  return (tones) => {
    context ??= new AudioContext();
    const audio = context;
    void audio.resume();
    for (const { atSeconds, hertz, seconds } of tones) {
      const begin = audio.currentTime + 0.02 + atSeconds;
      const tone = audio.createOscillator();
      const loudness = audio.createGain();
      tone.type = "triangle";
      tone.frequency.value = hertz;
      // Soft edges: a hard switch clicks in headphones.
      loudness.gain.setValueAtTime(0, begin);
      loudness.gain.linearRampToValueAtTime(LOUDNESS, begin + 0.015);
      loudness.gain.setValueAtTime(LOUDNESS, begin + seconds - 0.03);
      loudness.gain.linearRampToValueAtTime(0, begin + seconds);
      tone.connect(loudness).connect(audio.destination);
      tone.start(begin);
      tone.stop(begin + seconds);
    }
  };
}
