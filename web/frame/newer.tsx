// The quiet bar that offers a newer page. Reloading is the reader's business: a note half typed or a dialog must not be lost.

import type { ReadonlySignal } from "@preact/signals";
import { strings } from "../strings.ts";

export function Newer({ newer }: { readonly newer: ReadonlySignal<boolean> }) {
  return (
    <div role="status">
      {newer.value && (
        <p class="newer">
          {strings.newer.text}{" "}
          <button type="button" onClick={() => location.reload()}>
            {strings.newer.reload}
          </button>
        </p>
      )}
    </div>
  );
}
