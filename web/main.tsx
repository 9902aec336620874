// Composition root of the page: joins browser and store, puts look and size on the document, and draws. Nobody imports it.

import { effect, signal } from "@preact/signals";
import { render } from "preact";
import { browserClock } from "./clock.ts";
import { joined } from "./figures.ts";
import { Page, type View } from "./frame/page.tsx";
import type { Socket } from "./link.ts";
import { Now } from "./now/now.tsx";
import { createStore } from "./store.ts";
import { strings } from "./strings.ts";
import "./style.css";

function preference(query: string) {
  const media = matchMedia(query);
  const matches = signal(media.matches);
  media.addEventListener("change", () => {
    matches.value = media.matches;
  });
  return matches;
}

const store = createStore({
  clock: browserClock(),
  openSocket: () => {
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    return new WebSocket(`${scheme}//${location.host}/api/v1/stream`) as unknown as Socket;
  },
  fetch: (input, init) => fetch(input, init),
  shelf: localStorage,
  systemIsDark: preference("(prefers-color-scheme: dark)"),
  systemIsStill: preference("(prefers-reduced-motion: reduce)"),
});

addEventListener("online", () => store.link.hurry());
document.addEventListener("visibilitychange", () => {
  if (!document.hidden) store.link.hurry();
});

effect(() => {
  document.documentElement.setAttribute("data-look", store.look.value);
  document.documentElement.setAttribute("data-size", store.preferences.value.size);
});
effect(() => {
  const { frame, about } = store.model.value;
  const core = frame?.quantities.core_celsius?.value ?? null;
  const known = store.fresh.value === "fresh" || store.fresh.value === "stale";
  const stage = frame === null || !known ? strings.age.none : strings.stage.names[frame.power_stage];
  const heat = core === null || !known ? [] : [joined(store.figures.value.temperature(core, 0))];
  document.title = [...heat, stage, about?.name ?? strings.product].join(" · ");
});

const views: readonly View[] = [{ path: "/", name: strings.page, Body: Now }];
const root = document.getElementById("page");
const [current] = views;
if (root !== null && current !== undefined) render(<Page store={store} views={views} current={current} />, root);
