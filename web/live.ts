// What comes over the line, gathered: the newest model and the trail behind it, shown at a bounded rate, and what was missed asked of
// the log. It opens no line and draws nothing.

import { type Signal, signal } from "@preact/signals";
import type { About } from "../daemon/wire/frame.ts";
import type { Cancel, PageClock } from "./clock.ts";
import { fetchHistory } from "./history.ts";
import { EMPTY_MODEL, type Happening, type Model, reduce } from "./model.ts";
import { EMPTY_TRAIL, type Trail, withFrame, withHistory } from "./trail.ts";

/** At a simulated feedpoint's speed frames may come faster than anyone reads; the page shows at most this many a second. */
const LONGEST_SHOWN_RATE = 5;

const RECALL_SECONDS = 10;

/** What is shown, and what to tell it. */
export type Live = {
  readonly model: Signal<Model>;
  readonly trail: Signal<Trail>;
  /** When it was last shown; whoever wants ages to grow moves it on, s of the page's clock. */
  readonly now: Signal<number>;
  /** The log did not give what was before. */
  readonly historyMissing: Signal<boolean>;
  readonly happen: (happening: Happening) => void;
  /** The last message did not follow the one before it. */
  readonly gap: () => boolean;
};

/** Begins with nothing. */
export function gatherLive(clock: PageClock, fetch: typeof globalThis.fetch): Live {
  let latest = EMPTY_MODEL;
  let latestTrail = EMPTY_TRAIL;
  let pending = false;
  let shownAtSeconds = Number.NEGATIVE_INFINITY;
  let historyOf: string | null = null;
  let cancelRecall: Cancel | null = null;

  const model = signal(latest);
  const trail = signal(latestTrail);
  const now = signal(clock.nowSeconds());
  const historyMissing = signal(false);

  const show = (): void => {
    pending = false;
    shownAtSeconds = clock.nowSeconds();
    now.value = shownAtSeconds;
    trail.value = latestTrail;
    model.value = latest;
  };
  const showSoon = (): void => {
    if (pending) return;
    const wait = shownAtSeconds + 1 / LONGEST_SHOWN_RATE - clock.nowSeconds();
    if (wait <= 0) {
      show();
      return;
    }
    pending = true;
    clock.after(wait, show);
  };

  const recall = async (bootId: string): Promise<void> => {
    const frame = latest.frame;
    if (frame === null) return;
    const history = await fetchHistory(fetch, frame);
    if (historyOf !== bootId) return;
    historyMissing.value = history === null;
    if (history !== null) latestTrail = withHistory(latestTrail, history, frame.at_seconds);
    showSoon();
  };

  /** A fast simulation shows only some of its seconds live; the log has them all, so it is asked again now and then. */
  const recallNow = ({ boot_id, speed }: Pick<About, "boot_id" | "speed">): void => {
    cancelRecall?.();
    historyOf = boot_id;
    void recall(boot_id);
    if (speed > 1) cancelRecall = clock.after(RECALL_SECONDS, () => recallNow({ boot_id, speed }));
  };

  const happen = (happening: Happening): void => {
    latest = reduce(latest, happening);
    if (happening.kind === "message" && !latest.gap && latest.frame !== null) {
      if (happening.message.type === "snapshot") {
        // Whatever was missed while the line was down comes from the log again.
        latestTrail = EMPTY_TRAIL;
        recallNow(happening.message.about);
      }
      latestTrail = withFrame(latestTrail, latest.frame);
    }
    showSoon();
  };

  return { model, trail, now, historyMissing, happen, gap: () => latest.gap };
}
