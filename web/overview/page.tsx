// The page of all feedpoints: one sentence for all, what to filter by, and the rows, worst first. While the reader is in the list its
// order is held, so that nothing moves away under finger or focus. It sends nothing.

import { type ReadonlySignal, useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import type { Figures } from "../figures.ts";
import { Settings, type SettingsStore } from "../frame/settings.tsx";
import type { Tone } from "../sentence.ts";
import { overviewWords as words } from "../strings/overview.ts";
import { strings } from "../strings.ts";
import { fits, type OverviewModel, type Told, tell, worstFirst } from "./model.ts";
import { Row } from "./row.tsx";

export type OverviewStore = SettingsStore & {
  readonly model: ReadonlySignal<OverviewModel>;
  readonly now: ReadonlySignal<number>;
  readonly figures: ReadonlySignal<Figures>;
};

/** The server speaks twice a second; silence for so long is told, s. */
const SILENT_SECONDS = 5;
const KINDS = ["all", "act", "blind", "watch", "calm"] as const satisfies readonly (Tone | "all")[];

function headline(model: OverviewModel, all: readonly Told[], now: number): string {
  if (model.heardSeconds === null) return words.connecting;
  const silent = now - model.heardSeconds;
  if (silent > SILENT_SECONDS) return words.serverLost(Math.floor(silent));
  if (model.brokerTrouble !== null) return words.brokerLost(model.brokerTrouble);
  if (all.length === 0) return words.none;
  const of = (tone: Tone): number => all.filter(({ sentence }) => sentence.tone === tone).length;
  return words.head(of("act"), of("blind"), all.length);
}

export function OverviewPage({ store }: { readonly store: OverviewStore }) {
  const asked = useSignal("");
  const kind = useSignal<Tone | "all">("all");
  const held = useSignal(false);
  const order = useRef<readonly string[]>([]);
  const model = store.model.value;
  const now = store.now.value;
  const figures = store.figures.value;
  const all = [...model.rows.values()].map((row) => tell(row, model, now, figures));
  const sorted = all.toSorted(worstFirst);
  if (!held.value) order.current = sorted.map(({ row }) => row.id);
  const place = new Map(order.current.map((id, index) => [id, index]));
  const placed = held.value
    ? sorted.toSorted((a, b) => (place.get(a.row.id) ?? place.size) - (place.get(b.row.id) ?? place.size))
    : sorted;
  const shown = placed.filter((told) => fits(told, asked.value, kind.value));
  return (
    <>
      <a class="skip" href="#main">
        {strings.skip}
      </a>
      <header>
        <p class="product">{strings.product}</p>
        <p class="feedpoint">{words.title}</p>
        <Settings store={store} />
      </header>
      <main id="main" tabIndex={-1}>
        <h1 class="overview-head" aria-live="polite">
          {headline(model, all, now)}
        </h1>
        {model.hidden > 0 && <p class="overview-hidden">{words.hidden(model.hidden, model.most)}</p>}
        <form class="overview-filter" onSubmit={(event) => event.preventDefault()}>
          <label>
            {words.filter}
            <input
              type="search"
              value={asked.value}
              onInput={(event) => {
                asked.value = event.currentTarget.value;
              }}
            />
          </label>
          <label>
            {words.only}
            <select
              value={kind.value}
              onChange={(event) => {
                kind.value = event.currentTarget.value as Tone | "all";
              }}
            >
              {KINDS.map((name) => (
                <option key={name} value={name}>
                  {words.kinds[name]}
                </option>
              ))}
            </select>
          </label>
          <p class="note">{words.shown(shown.length, all.length)}</p>
        </form>
        {all.length > 0 && shown.length === 0 && <p class="note">{words.noneMatch}</p>}
        {held.value && <p class="note">{words.held}</p>}
        <ul
          class="glances"
          aria-label={words.list}
          onFocusIn={() => {
            held.value = true;
          }}
          onFocusOut={() => {
            held.value = false;
          }}
        >
          {shown.map((told) => (
            <Row key={told.row.id} told={told} figures={figures} />
          ))}
        </ul>
      </main>
      <footer>
        <ul>
          <li>{words.readOnly}</li>
          {model.version !== null && <li>{words.version(model.version)}</li>}
        </ul>
      </footer>
    </>
  );
}
