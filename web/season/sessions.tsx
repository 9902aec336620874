// Sessions an operator marks: a contest with a name, a beginning and an end. The list, the form that adds one, and the way
// to take one away, asked twice. The daemon keeps them; nothing of the log is touched.

import { useSignal } from "@preact/signals";
import { SESSION_KINDS, type Session, type SessionKind } from "../../daemon/wire/season.ts";
import { NeedsLogin } from "../access/context.tsx";
import type { Answer } from "../commands.ts";
import type { Figures } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import { fromField, toField } from "./field-time.ts";

const words = seasonStrings.sessions;
const LONGEST_NAME = 80;
const MOST_SHOWN = 20;
const USUAL_SECONDS = 24 * 3600;

export type NewSession = Omit<Session, "id">;

type SessionsProps = {
  readonly sessions: readonly Session[];
  readonly offsetSeconds: number;
  readonly nowSeconds: number;
  readonly figures: Figures;
  readonly mark: (session: NewSession) => Promise<Answer>;
  readonly remove: (session: Session) => Promise<Answer>;
};

/** Why this cannot be marked, in the page's words; null when it can. */
export function wrongWith(name: string, fromSeconds: number | null, toSeconds: number | null): string | null {
  if (name.trim() === "") return words.noName;
  if (fromSeconds === null || toSeconds === null) return words.noTime;
  return toSeconds > fromSeconds ? null : words.noSpan;
}

type FormProps = Pick<SessionsProps, "offsetSeconds" | "nowSeconds" | "mark">;

function MarkForm({ offsetSeconds, nowSeconds, mark }: FormProps) {
  const hour = Math.floor(nowSeconds / 3600) * 3600;
  const name = useSignal("");
  const kind = useSignal<SessionKind>("contest");
  const begin = useSignal(toField(hour, offsetSeconds));
  const end = useSignal(toField(hour + USUAL_SECONDS, offsetSeconds));
  const answer = useSignal("");
  const send = async (): Promise<void> => {
    const from_seconds = fromField(begin.value, offsetSeconds);
    const to_seconds = fromField(end.value, offsetSeconds);
    const wrong = wrongWith(name.value, from_seconds, to_seconds);
    if (wrong !== null || from_seconds === null || to_seconds === null) {
      answer.value = wrong ?? words.noTime;
      return;
    }
    const said = await mark({ kind: kind.value, name: name.value.trim(), from_seconds, to_seconds });
    answer.value = said.text;
    if (said.done) name.value = "";
  };
  const time = (label: string, value: typeof begin) => (
    <label>
      {label}
      <input
        type="datetime-local"
        required
        value={value.value}
        onInput={(event) => {
          value.value = event.currentTarget.value;
        }}
      />
    </label>
  );
  return (
    <form
      class="session-form"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      <label>
        {words.name}
        <input
          type="text"
          required
          maxLength={LONGEST_NAME}
          placeholder={words.example}
          value={name.value}
          onInput={(event) => {
            name.value = event.currentTarget.value;
          }}
        />
      </label>
      <label>
        {words.kind}
        <select
          value={kind.value}
          onChange={(event) => {
            kind.value = event.currentTarget.value as SessionKind;
          }}
        >
          {SESSION_KINDS.map((one) => (
            <option key={one} value={one}>
              {words.kinds[one]}
            </option>
          ))}
        </select>
      </label>
      {time(words.begin, begin)}
      {time(words.end, end)}
      <button type="submit">
        {words.mark}
        <NeedsLogin />
      </button>
      <p class="note" role="status">
        {answer.value === "" ? words.zone(offsetSeconds === 0) : answer.value}
      </p>
    </form>
  );
}

export function Sessions({ sessions, offsetSeconds, nowSeconds, figures, mark, remove }: SessionsProps) {
  const doubted = useSignal<number | null>(null);
  const answer = useSignal("");
  const shown = [...sessions].reverse().slice(0, MOST_SHOWN);
  const take = async (session: Session): Promise<void> => {
    doubted.value = null;
    answer.value = (await remove(session)).text;
  };
  const span = ({ from_seconds, to_seconds }: Session): string =>
    words.span(
      figures.day(from_seconds + offsetSeconds),
      figures.day(to_seconds + offsetSeconds),
      figures.hours(to_seconds - from_seconds).number,
    );
  return (
    <section class="season-sessions" aria-labelledby="season-sessions-title">
      <h2 id="season-sessions-title">{words.title}</h2>
      <MarkForm offsetSeconds={offsetSeconds} nowSeconds={nowSeconds} mark={mark} />
      {shown.length === 0 ? (
        <p class="note">{words.none}</p>
      ) : (
        <ul>
          {shown.map((session) => (
            <li key={session.id}>
              <strong>{session.name}</strong>
              <span class="note">{`${words.kinds[session.kind]}, ${span(session)}`}</span>
              {doubted.value === session.id ? (
                <span class="buttons">
                  <button type="button" class="act" onClick={() => void take(session)}>
                    {words.yes}
                  </button>
                  <button
                    type="button"
                    onClick={() => {
                      doubted.value = null;
                    }}
                  >
                    {words.no}
                  </button>
                </span>
              ) : (
                <button
                  type="button"
                  onClick={() => {
                    doubted.value = session.id;
                  }}
                >
                  {words.remove}
                  <span class="hidden">{` ${session.name}`}</span>
                  <NeedsLogin />
                </button>
              )}
            </li>
          ))}
        </ul>
      )}
      <p class="note" role="status">
        {answer.value}
      </p>
      {sessions.length > shown.length && <p class="note">{words.earlier(sessions.length - shown.length)}</p>}
    </section>
  );
}
