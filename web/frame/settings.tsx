// The reader's choices: units, clock, look, size, motion. Plain radio buttons, so that keyboard and reader just work.

import { CHOICE_NAMES, CHOICES, type ChoiceName } from "../preferences.ts";
import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

/** What the reader's choices need of a store. */
export type SettingsStore = Pick<Store, "preferences" | "choose">;

function Choice({ store, name }: { readonly store: SettingsStore; readonly name: ChoiceName }) {
  const words: { readonly title: string; readonly [value: string]: string } = strings.settings[name];
  return (
    <fieldset>
      <legend>{words.title}</legend>
      {CHOICES[name].map((value) => (
        <label key={value}>
          <input
            type="radio"
            name={name}
            value={value}
            checked={store.preferences.value[name] === value}
            onChange={() => store.choose(name, value)}
          />
          {words[value]}
        </label>
      ))}
    </fieldset>
  );
}

export function Settings({ store }: { readonly store: SettingsStore }) {
  return (
    <details
      class="settings"
      onKeyDown={(event) => {
        if (event.key !== "Escape") return;
        event.currentTarget.open = false;
        event.currentTarget.querySelector("summary")?.focus();
      }}
    >
      <summary>{strings.settings.title}</summary>
      <div class="settings-sheet">
        {CHOICE_NAMES.map((name) => (
          <Choice key={name} store={store} name={name} />
        ))}
      </div>
    </details>
  );
}
