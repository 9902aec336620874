// What a screen reader is told of alarms on every view: high ones at once, the others when it pauses. It shows nothing.

import { isWaiting, type Priority } from "../sound.ts";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

const words = strings.alarmView;

export function AlarmCall({ store }: { readonly store: Store }) {
  const waiting = store.model.value.frame?.alarms.filter(isWaiting) ?? [];
  const said = (urgent: boolean): string =>
    waiting
      .filter(({ priority }) => (priority === "high") === urgent)
      .map(({ tag, priority }) => words.spoken(strings.alarms.priority[priority as Priority], words.name(tag)))
      .join(" ");
  return (
    <>
      <p class="hidden" role="alert" aria-live="assertive">
        {said(true)}
      </p>
      <p class="hidden" role="status" aria-live="polite">
        {said(false)}
      </p>
    </>
  );
}
