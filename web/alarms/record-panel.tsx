// The record by pages, newest first: what happened and who did what. It keeps a bounded number of lines and changes none.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { RecordLine, RecordPage } from "../../daemon/wire/alarm.ts";
import { readDaemon } from "../ask-daemon.ts";
import type { Figures } from "../figures.ts";
import { strings } from "../strings.ts";

const words = strings.alarmView;
const KINDS = { all: null, alarm: "alarm", command: "command", stage: "stage" } as const;
type Kind = keyof typeof KINDS;
const LINES = 20;
const MOST_LINES = 200;

/** The reader's distance from UTC at that moment, s; behind is positive. */
const offsetSeconds = (wallSeconds: number, utc: boolean): number =>
  utc ? 0 : new Date(wallSeconds * 1000).getTimezoneOffset() * 60;

export function RecordPanel({ figures, utc }: { readonly figures: Figures; readonly utc: boolean }) {
  const kind = useSignal<Kind>("all");
  const lines = useSignal<readonly RecordLine[]>([]);
  const before = useSignal<number | null>(null);
  const state = useSignal<"asking" | "here" | "failed">("asking");
  const read = async (wanted: Kind, from: number | null): Promise<void> => {
    state.value = "asking";
    const query = new URLSearchParams({ lines: String(LINES) });
    const name = KINDS[wanted];
    if (name !== null) query.set("kinds", name);
    if (from !== null) query.set("before", String(from));
    const page = await readDaemon<RecordPage>(`/api/v1/record?${query}`);
    if (kind.value !== wanted) return;
    if (page === null) {
      state.value = "failed";
      return;
    }
    lines.value = from === null ? page.lines : [...lines.value, ...page.lines].slice(-MOST_LINES);
    before.value = page.before;
    state.value = "here";
  };
  useEffect(() => void read(kind.value, null), [kind.value]);
  return (
    <section class="panel" aria-labelledby="record-title">
      <h2 id="record-title">{words.record}</h2>
      <fieldset class="choices">
        <legend class="hidden">{words.kindsTitle}</legend>
        {(Object.keys(KINDS) as Kind[]).map((name) => (
          <label key={name}>
            <input
              type="radio"
              name="kind"
              checked={kind.value === name}
              onChange={() => {
                kind.value = name;
              }}
            />
            {words.kinds[name]}
          </label>
        ))}
      </fieldset>
      {state.value === "failed" && <p role="status">{words.recordFailed}</p>}
      {state.value === "here" && lines.value.length === 0 && <p class="note">{words.recordNone}</p>}
      <ol class="record">
        {lines.value.map(({ id, wall_seconds, wall_trusted, tag, text, by }) => (
          <li key={id}>
            <time dateTime={new Date(wall_seconds * 1000).toISOString()}>
              {`${figures.day(wall_seconds - offsetSeconds(wall_seconds, utc))} ${figures.clock(wall_seconds, true)}`}
              {!wall_trusted && <span class="note">{` (${words.untrusted})`}</span>}
            </time>
            <span>
              <strong>{words.name(tag)}</strong>
              {` ${figures.readable(text)}`}
              {by !== null && <span class="note">{` (${by})`}</span>}
            </span>
          </li>
        ))}
      </ol>
      <p class="buttons">
        {before.value !== null && (
          <button type="button" disabled={state.value === "asking"} onClick={() => void read(kind.value, before.value)}>
            {words.earlier}
          </button>
        )}
        <button type="button" disabled={state.value === "asking"} onClick={() => void read(kind.value, null)}>
          {words.newest}
        </button>
      </p>
    </section>
  );
}
