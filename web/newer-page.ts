// Finds out whether the daemon serves a newer page than this one: after each new connection the page is asked for and its files
// are compared by name, which carries a hash of what they hold. It never reloads anything.

import { effect, type ReadonlySignal, signal } from "@preact/signals";
import type { Store } from "./store.ts";

const DEADLINE_MILLISECONDS = 8_000;

/** The bundled files that a page's text names. */
export const assetsIn = (html: string): readonly string[] =>
  [...html.matchAll(/(?:src|href)="(\/assets\/[^"]+)"/g)].map(([, path = ""]) => path).toSorted();

/** True when `served` names other files than `own`; a text without any is no page of ours. */
export function isNewer(own: readonly string[], served: readonly string[]): boolean {
  return served.length > 0 && own.length > 0 && served.join() !== own.join();
}

/** True once a newer page is served than the one whose text is `html`; follows `store` for as long as the page lives. */
export function followServedPage(store: Pick<Store, "model" | "fetch">, html: string): ReadonlySignal<boolean> {
  const newer = signal(false);
  const own = assetsIn(html);
  let before = store.model.peek().about;
  let asking = false;
  const ask = async (): Promise<void> => {
    asking = true;
    try {
      const answer = await store.fetch("/", { cache: "no-store", signal: AbortSignal.timeout(DEADLINE_MILLISECONDS) });
      if (answer.ok && isNewer(own, assetsIn(await answer.text()))) newer.value = true;
    } catch {
      // The next connection asks again.
    } finally {
      asking = false;
    }
  };
  effect(() => {
    // Each snapshot brings an `about` of its own; the first came from the daemon that served this page.
    const { about } = store.model.value;
    if (about === before) return;
    const first = before === null;
    before = about;
    if (!first && !asking && !newer.peek()) void ask();
  });
  return newer;
}
