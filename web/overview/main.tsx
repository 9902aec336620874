// Composition root of the overview's page: joins browser, stream and the reader's choices, and draws. Nobody imports it.

import { computed, effect, signal } from "@preact/signals";
import { render } from "preact";
import type { OverviewMessage } from "../../daemon/wire/overview.ts";
import { browserClock } from "../clock.ts";
import { figuresFor } from "../figures.ts";
import { openLink, type Socket } from "../link.ts";
import { loadPreferences, type Preferences, resolveLook, savePreferences } from "../preferences.ts";
import { EMPTY_OVERVIEW, reduceOverview } from "./model.ts";
import { OverviewPage } from "./page.tsx";
import "../style.css";

const clock = browserClock();
const model = signal(EMPTY_OVERVIEW);
const now = signal(clock.nowSeconds());
const preferences = signal(loadPreferences(localStorage));
const dark = matchMedia("(prefers-color-scheme: dark)");
const isDark = signal(dark.matches);
dark.addEventListener("change", () => {
  isDark.value = dark.matches;
});

const link = openLink<OverviewMessage>({
  clock,
  open: () => {
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    return new WebSocket(`${scheme}//${location.host}/api/v1/overview`) as unknown as Socket;
  },
  onState: () => {
    model.value = { ...model.value, sequence: null };
  },
  onMessage: (message, atSeconds) => {
    now.value = atSeconds;
    model.value = reduceOverview(model.value, message, atSeconds);
    return model.value.gap;
  },
});
clock.every(1, () => {
  now.value = clock.nowSeconds();
});
addEventListener("online", () => link.hurry());

effect(() => {
  const { look, size } = preferences.value;
  document.documentElement.setAttribute("data-look", resolveLook({ ...preferences.value, look }, isDark.value));
  document.documentElement.setAttribute("data-size", size);
});

const store = {
  model,
  now,
  preferences,
  figures: computed(() => figuresFor(preferences.value)),
  choose: (name: keyof Preferences, value: string) => {
    preferences.value = { ...preferences.value, [name]: value } as Preferences;
    savePreferences(localStorage, preferences.value);
  },
};
const root = document.getElementById("page");
if (root !== null) render(<OverviewPage store={store} />, root);
