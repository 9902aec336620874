// Turns the sound on, tests it, and asks the browser for notifications. Nothing sounds before the operator asked for it.

import { useSignal } from "@preact/signals";
import type { Priority } from "../sound.ts";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

const words = strings.alarmView.sound;
const PRIORITIES: readonly Priority[] = ["high", "medium", "low"];

const permission = (): string => ("Notification" in window ? Notification.permission : "denied");

export function HornPanel({ store }: { readonly store: Store }) {
  const { horn } = store;
  const on = useSignal(horn.enabled);
  const allowed = useSignal(permission());
  return (
    <section aria-labelledby="sound-title" class="panel">
      <h2 id="sound-title">{words.title}</h2>
      <p role="status">{on.value ? words.isOn : words.isOff}</p>
      <p class="buttons">
        <button
          type="button"
          aria-pressed={on.value}
          onClick={() => {
            if (on.value) horn.silence();
            else horn.enable();
            on.value = horn.enabled;
          }}
        >
          {on.value ? words.off : words.on}
        </button>
      </p>
      <ul class="horn-tests">
        {PRIORITIES.map((priority) => (
          <li key={priority}>
            <button type="button" onClick={() => horn.test(priority)}>
              {words.test}
              <span class="hidden">{` ${priority}`}</span>
            </button>
            <span>{words.patterns[priority]}</span>
          </li>
        ))}
      </ul>
      {allowed.value === "default" ? (
        <p class="buttons">
          <button
            type="button"
            onClick={() =>
              void Notification.requestPermission().then((said) => {
                allowed.value = said;
              })
            }
          >
            {words.notices}
          </button>
        </p>
      ) : (
        <p class="note">{allowed.value === "granted" ? words.noticesOn : words.noticesOff}</p>
      )}
    </section>
  );
}
