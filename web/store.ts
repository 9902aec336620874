// Signals on top of the pure model: what the components read. It joins link, what came over it, and preferences. Built once by
// main.tsx and handed down.

import { computed, type ReadonlySignal, signal } from "@preact/signals";
import type { ServerMessage } from "../daemon/wire/frame.ts";
import { type AccessDesk, createAccessDesk } from "./access/desk.ts";
import type { PageClock } from "./clock.ts";
import { type Answer, ask, type NoteAction, type PageAction } from "./commands.ts";
import { type Figures, figuresFor } from "./figures.ts";
import { type Link, openLink, type Socket } from "./link.ts";
import { gatherLive } from "./live.ts";
import { ageSeconds, type Freshness, freshness, type Model } from "./model.ts";
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
import { heaviestDriveWatts, type Trail } from "./trail.ts";

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

/** Reads the preferences, opens the line and begins to tick; it lives as long as the page. */
export function createStore({
  clock,
  play,
  openSocket,
  fetch,
  shelf,
  systemIsDark,
  systemIsStill,
}: StoreOptions): Store {
  const live = gatherLive(clock, fetch);
  const { model, trail, now, historyMissing, happen } = live;
  const preferences = signal(loadPreferences(shelf));

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
      return live.gap();
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
