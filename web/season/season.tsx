// The view Season: is it getting worse? One sentence first, then the map, what wears, two sessions compared, figures, notes.
// It asks for the review and composes; each part judges nothing.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { SeasonNote, SeasonReview, Session } from "../../daemon/wire/season.ts";
import type { Answer } from "../commands.ts";
import type { Store } from "../store.ts";
import { seasonStrings } from "../strings/season.ts";
import { Compare } from "./compare.tsx";
import { hoursCsv, wearCsv } from "./csv.ts";
import { download, fileName } from "./download.ts";
import { Counts, Facts } from "./facts.tsx";
import { HeatMap } from "./heat-map.tsx";
import { forgetSession, markSession } from "./mark.ts";
import { Notes } from "./notes.tsx";
import { fetchReview, fetchSessions } from "./review.ts";
import { seasonSays } from "./says.ts";
import { Sessions } from "./sessions.tsx";
import type { Span } from "./span.ts";
import { type NumberedNote, SHORTEST_SECONDS, WearPanel } from "./wear-panel.tsx";
import { ZoomBar } from "./zoom-bar.tsx";

const words = seasonStrings;
/** While the page stays open the season grows; at a first start the demo season is still being written. */
const SOON_MILLISECONDS = 4_000;
const AGAIN_MILLISECONDS = 300_000;
/** Kinds that stand on the axis; stage changes would crowd it. */
const AXIS_KINDS = ["note", "command", "proof test"];

/** Whole hours that the reader's days are off UTC; the daemon takes no others. */
const offsetHours = (clock: "local" | "utc"): number =>
  clock === "utc" ? 0 : Math.round(-new Date().getTimezoneOffset() / 60);

function Wears({
  review,
  notes,
  store,
}: {
  readonly review: SeasonReview;
  readonly notes: readonly NumberedNote[];
  readonly store: Store;
}) {
  const figures = store.figures.value;
  const whole: Span = { from: review.from_seconds, to: review.to_seconds };
  const span = useSignal<Span | null>(null);
  const shown = span.value ?? whole;
  const show = (next: Span): void => {
    span.value = next.from <= whole.from && next.to >= whole.to ? null : next;
  };
  return (
    <section class="season-wear" aria-labelledby="season-wear-title">
      <h2 id="season-wear-title">
        {words.wear.title} <span class="trail-unit">{words.wear.key}</span>
      </h2>
      <ZoomBar
        span={shown}
        whole={whole}
        shortest={SHORTEST_SECONDS}
        text={(at) => figures.day(at + review.utc_offset_seconds)}
        onSpan={show}
      />
      <p class="note" id="season-zoom-hint">
        {words.wear.hint}
      </p>
      <div class="wears">
        {review.wear.map((wear) => (
          <WearPanel
            key={wear.quantity}
            wear={wear}
            notes={notes}
            span={shown}
            whole={whole}
            offsetSeconds={review.utc_offset_seconds}
            figures={figures}
            onSpan={show}
          />
        ))}
      </div>
      <button
        type="button"
        onClick={() =>
          download(wearCsv(review, review.wear, shown), fileName("trends", review.simulated || review.demo))
        }
      >
        {words.wear.save}
      </button>
    </section>
  );
}

export function Season({ store }: { readonly store: Store }) {
  const review = useSignal<SeasonReview | "missing" | null>(null);
  const sessions = useSignal<readonly Session[]>([]);
  const added = useSignal<readonly SeasonNote[]>([]);
  const asked = useSignal(0);
  const { clock } = store.preferences.value;
  const attempt = asked.value;
  useEffect(() => {
    let ended = false;
    const read = async (): Promise<void> => {
      const [found, marked] = await Promise.all([
        fetchReview(store.fetch, offsetHours(clock)),
        fetchSessions(store.fetch),
      ]);
      if (!ended && marked !== null) sessions.value = marked;
      // What was read once stays; a moment's silence of the log is no reason to take it away.
      if (!ended && (found !== null || review.value === null)) review.value = found ?? "missing";
    };
    void read();
    const soon = setTimeout(() => void read(), SOON_MILLISECONDS);
    const timer = setInterval(() => void read(), AGAIN_MILLISECONDS);
    return () => {
      ended = true;
      clearTimeout(soon);
      clearInterval(timer);
    };
  }, [store, clock, attempt, review, sessions]);

  const found = review.value;
  if (found === null || found === "missing") {
    return (
      <div class="headline tone-blind">
        <h1>{found === null ? words.loading : words.missing}</h1>
        {found === "missing" && (
          <button
            type="button"
            onClick={() => {
              review.value = null;
              asked.value += 1;
            }}
          >
            {words.again}
          </button>
        )}
      </div>
    );
  }
  const figures = store.figures.value;
  const said = seasonSays(found, figures);
  const origin = [
    ...(found.demo ? [words.demo] : found.simulated ? [words.simulated] : []),
    ...(found.imported ? [words.imported] : []),
  ];
  const kept = found.notes.filter(({ kind }) => AXIS_KINDS.includes(kind));
  const fresh = added.value.filter(
    ({ text, at_seconds }) => !kept.some((note) => note.text === text && note.at_seconds >= at_seconds - 5),
  );
  const notes = [...kept, ...fresh].map((note, index) => ({ ...note, number: index + 1 }));
  const readAfter = async (asking: Promise<Answer>): Promise<Answer> => {
    const answer = await asking;
    if (answer.done) asked.value += 1;
    return answer;
  };
  const limitCelsius = store.model.value.about?.limit_celsius ?? null;
  return (
    <>
      <div class={`headline tone-${said.tone === "act" ? "act" : "calm"}`}>
        <h1>{said.text}</h1>
        <ul class="caveats">
          {[...said.notes, ...origin].map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      </div>
      <div class="season">
        {limitCelsius !== null && found.hours.length > 0 && (
          <HeatMap review={found} notes={notes} limitCelsius={limitCelsius} figures={figures} look={store.look.value} />
        )}
        <p class="season-save">
          <button
            type="button"
            onClick={() => download(hoursCsv(found), fileName("hours", found.simulated || found.demo))}
          >
            {words.map.save}
          </button>
        </p>
        <Wears review={found} notes={notes} store={store} />
        <div class="season-pair">
          <Compare review={found} store={store} />
          <div>
            <Facts review={found} figures={figures} />
            <Counts review={found} figures={figures} />
          </div>
        </div>
        <Sessions
          sessions={sessions.value}
          offsetSeconds={found.utc_offset_seconds}
          nowSeconds={store.model.peek().frame?.wall_seconds ?? found.to_seconds}
          figures={figures}
          mark={(session) => readAfter(markSession(store.fetch, session, words.sessions.marked))}
          remove={({ id }) => readAfter(forgetSession(store.fetch, id, words.sessions.forgotten))}
        />
        <Notes
          notes={notes}
          offsetSeconds={found.utc_offset_seconds}
          figures={figures}
          send={async (text) => {
            const answer = await store.ask({ kind: "note", text });
            const at_seconds = store.model.value.frame?.wall_seconds ?? found.to_seconds;
            if (answer.done) added.value = [...added.value, { at_seconds, kind: "note", tag: "note", text, by: null }];
            return answer;
          }}
        />
      </div>
    </>
  );
}
