// Carries a new alarm out of the page: horn, system notification where allowed, and the tab's icon. Only what is new calls;
// data that are old call nobody.

import { effect } from "@preact/signals";
import type { WireAlarm } from "../daemon/wire/frame.ts";
import { isWaiting, newlyWaiting } from "./sound.ts";
import type { Store } from "./store.ts";
import { strings } from "./strings.ts";

/** Follows the store until the returned function is called. */
export function followAlarms(store: Store, document: Document): () => void {
  let before: readonly WireAlarm[] | null = null;
  return effect(() => {
    const alarms = store.model.value.frame?.alarms ?? null;
    if (alarms === null || alarms === before) return;
    store.horn.follow(alarms);
    const fresh = before === null ? [] : newlyWaiting(before, alarms);
    before = alarms;
    const icon = document.querySelector<HTMLLinkElement>('link[rel="icon"]');
    const wanted = alarms.some(isWaiting) ? "/icon-alarm.svg" : "/icon.svg";
    if (icon !== null && icon.getAttribute("href") !== wanted) icon.setAttribute("href", wanted);
    if (!("Notification" in window) || Notification.permission !== "granted") return;
    for (const { tag, text, priority } of fresh) notify(tag, priority, store.figures.value.readable(text));
  });
}

/** Some browsers let only a service worker notify; the page's horn and title then have to do. */
function notify(tag: string, priority: WireAlarm["priority"], body: string): void {
  const title = strings.alarmView.spoken(strings.alarms.priority[priority], strings.alarmView.name(tag));
  try {
    new Notification(title, { body, tag, icon: "/icon-alarm.svg" });
  } catch {
    void navigator.serviceWorker?.ready.then((worker) => worker.showNotification(title, { body, tag }));
  }
}
