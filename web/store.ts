// Signals on top of the pure model: what the components read. It joins link, clock, history and preferences, and it is
// the only place that replaces the model. Built once by main.tsx and handed down.

import { computed, type ReadonlySignal, signal } from "@preact/signals";
import type { About, ServerMessage } from "../daemon/wire/frame.ts";
import { type AccessDesk, createAccessDesk } from "./access/desk.ts";
import type { Cancel, PageClock } from "./clock.ts";
import { type Answer, ask, type NoteAction, type PageAction } from "./commands.ts";
import { type Figures, figuresFor } from "./figures.ts";
import { fetchHistory } from "./history.ts";
import { type Link, openLink, type Socket } from "./link.ts";
import { ageSeconds, EMPTY_MODEL, type Freshness, freshness, type Happening, type Model, reduce } from "./model.ts";
import {
  type ChoiceName,
  type Look,
  loadPreferences,
  type Preferences,
  resolveLook,
  type Shelf,
  savePreferences,
} from "./preferences.ts";
import { createHorn, type Horn, type Tone } from "./sound.ts";
import { strings } from "./strings.ts";
import { EMPTY_TRAIL, heaviestDriveWatts, type Trail, withFrame, withHistory } from "./trail.ts";

export type Store = {
  readonly model: ReadonlySignal<Model>;
  readonly trail: ReadonlySignal<Trail>;
  /** Age of the frame to the fraction of a second, so that sentence and greying turn at the same moment. */
  readonly exactAge: ReadonlySignal<number | null>;
  /** Whole seconds, so that nothing is drawn more often than it changes; null before the first frame. */
  readonly age: ReadonlySignal<number | null>;
  readonly fresh: ReadonlySignal<Freshness>;
  readonly heaviestDrive: ReadonlySignal<number | null>;
  readonly historyMissing: ReadonlySignal<boolean>;
  readonly preferences: ReadonlySignal<Preferences>;
  readonly figures: ReadonlySignal<Figures>;
  readonly look: ReadonlySignal<Look>;
  /** False where the reader or the system asks for stillness. */
  readonly moving: ReadonlySignal<boolean>;
  readonly ask: (action: PageAction | NoteAction) => Promise<Answer>;
  /** Reads from the daemon; what a view asks for itself. */
  readonly fetch: typeof fetch;
  readonly choose: (name: ChoiceName, value: string) => void;
  readonly link: Link;
  /** Who the reader is taken for, and the login. */
  readonly access: AccessDesk;
  readonly horn: Horn;
};

export type StoreOptions = {
  readonly clock: PageClock;
  /** Plays tones; called only after the operator turned the sound on. */
  readonly play: (tones: readonly Tone[]) => void;
  readonly openSocket: () => Socket;
  readonly fetch: typeof fetch;
  readonly shelf: Shelf;
  readonly systemIsDark: ReadonlySignal<boolean>;
  readonly systemIsStill: ReadonlySignal<boolean>;
};

/** At a simulated feedpoint's speed frames may come faster than anyone reads; the page shows at most this many a second. */
const LONGEST_SHOWN_RATE = 5;

const RECALL_SECONDS = 10;

export function createStore({
  clock,
  play,
  openSocket,
  fetch,
  shelf,
  systemIsDark,
  systemIsStill,
}: StoreOptions): Store {
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
  const preferences = signal(loadPreferences(shelf));

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

  const access = createAccessDesk({ fetch, clock, onChange: () => link.hurry() });
  const link = openLink<ServerMessage>({
    open: openSocket,
    clock,
    onState: (state) => {
      happen({ kind: "link", state });
      // A refused line may mean that the login has ended.
      if (state !== "connecting") void access.look();
    },
    onMessage: (message, atSeconds) => {
      happen({ kind: "message", message, atSeconds });
      return latest.gap;
    },
  });
  clock.every(1, () => {
    now.value = clock.nowSeconds();
  });

  const exactAge = computed(() => ageSeconds(model.value, now.value));
  return {
    model,
    trail,
    exactAge,
    age: computed(() => (exactAge.value === null ? null : Math.floor(exactAge.value))),
    fresh: computed(() => freshness(exactAge.value)),
    heaviestDrive: computed(() => {
      const frame = model.value.frame;
      return frame === null ? null : heaviestDriveWatts(trail.value, frame.at_seconds);
    }),
    historyMissing,
    preferences,
    figures: computed(() => figuresFor(preferences.value)),
    look: computed(() => resolveLook(preferences.value, systemIsDark.value)),
    moving: computed(() => preferences.value.motion === "moving" && !systemIsStill.value),
    fetch,
    ask: (action) => ask(fetch, action, strings.confirm),
    choose: (name, value) => {
      preferences.value = { ...preferences.value, [name]: value } as Preferences;
      savePreferences(shelf, preferences.value);
    },
    link,
    access,
    horn: createHorn({ clock, play }),
  };
}
