// Which view is open, from the address's hash: `#/alarms`. Any other hash, such as a jump within the page, changes nothing.

import { type ReadonlySignal, signal } from "@preact/signals";

/** `/` for an empty hash; null when the hash names no view. */
export function pathOf(hash: string): string | null {
  if (hash === "" || hash === "#") return "/";
  return hash.startsWith("#/") ? hash.slice(1) : null;
}

/** Follows the address of this window. */
export function followHash(window: Window): ReadonlySignal<string> {
  const path = signal(pathOf(window.location.hash) ?? "/");
  window.addEventListener("hashchange", () => {
    const named = pathOf(window.location.hash);
    // A jump within the page must not cost the reader the view at the next reload.
    if (named === null) window.history.replaceState(null, "", `#${path.value}`);
    else path.value = named;
  });
  return path;
}
