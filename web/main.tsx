// Composition root of the page: joins browser and store, puts look and size on the document, and draws. Nobody imports it.

import { effect, signal } from "@preact/signals";
import { render } from "preact";
import { followAlarms } from "./alarm-notices.ts";
import { Alarms } from "./alarms/alarms.tsx";
import { browserClock } from "./clock.ts";
import { joined } from "./figures.ts";
import { lazy } from "./frame/lazy.tsx";
import { Page, type View } from "./frame/page.tsx";
import type { Socket } from "./link.ts";
import { followServedPage } from "./newer-page.ts";
import { Now } from "./now/now.tsx";
import { followHash } from "./route.ts";
import { browserPlayer, isWaiting } from "./sound.ts";
import { createStore } from "./store.ts";
import { heatRun as heatRunWords } from "./strings/heat-run.ts";
import { rating as ratingWords } from "./strings/rating.ts";
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
  play: browserPlayer(),
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
  const waiting = frame?.alarms.filter(isWaiting).length ?? 0;
  const call = waiting > 0 && known ? [strings.alarmView.title(waiting)] : [];
  document.title = [...call, ...heat, stage, about?.name ?? strings.product].join(" · ");
});

const views: readonly View[] = [
  { path: "/", name: strings.page, Body: Now },
  {
    path: "/season",
    name: strings.season.page,
    Body: lazy(() => import("./season/season.tsx").then(({ Season }) => Season)),
  },
  {
    path: "/rating",
    name: ratingWords.name,
    Body: lazy(() => import("./rating/rating.tsx").then(({ Rating }) => Rating)),
  },
  {
    path: "/heat-run",
    name: heatRunWords.name,
    Body: lazy(() => import("./heat-run/heat-run.tsx").then(({ HeatRun }) => HeatRun)),
  },
  { path: "/alarms", name: strings.alarmView.page, Body: Alarms },
  {
    path: "/check",
    name: strings.check.page,
    Body: lazy(() => import("./check/check.tsx").then(({ Check }) => Check)),
  },
];
const path = followHash(window);
// Before anything is fetched besides: later the head names more files than the page's text does.
const newer = followServedPage(store, document.documentElement.outerHTML);

function Open() {
  const current = views.find((view) => view.path === path.value) ?? views[0];
  return current === undefined ? null : <Page store={store} views={views} current={current} newer={newer} />;
}

followAlarms(store, document);
// Absent where the page does not come over https or from this machine; the page then works without it.
if ("serviceWorker" in navigator) void navigator.serviceWorker.register("/shell-worker.js").catch(() => {});
const root = document.getElementById("page");
if (root !== null) render(<Open />, root);
