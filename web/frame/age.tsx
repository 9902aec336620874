// How old the data are, always in sight, in words and shape.

import type { Store } from "../store.ts";
import { strings } from "../strings.ts";

const words = strings.age;

function text(store: Store): string {
  const age = store.age.value;
  const { link } = store.model.value;
  const old = age === null ? words.never : store.fresh.value === "fresh" && age < 2 ? words.fresh : words.seconds(age);
  if (link === "open" || store.fresh.value === "fresh") return old;
  return `${old}; ${link === "waiting" ? words.waiting : words.connecting}`;
}

export function Age({ store }: { readonly store: Store }) {
  return (
    <p class={`age age-${store.fresh.value}`}>
      <svg viewBox="0 0 12 12" aria-hidden="true">
        {store.fresh.value === "fresh" ? (
          <circle class="mark-solid" cx="6" cy="6" r="4.5" />
        ) : store.fresh.value === "stale" ? (
          <circle class="mark-line" cx="6" cy="6" r="4" />
        ) : (
          <path class="mark-line" d="M 2 2 L 10 10 M 10 2 L 2 10" />
        )}
      </svg>
      {text(store)}
    </p>
  );
}
