// Notes on the season's axis, by number, newest first, and the field that adds one. The daemon keeps them.

import { useSignal } from "@preact/signals";
import { NeedsLogin } from "../access/context.tsx";
import type { Answer } from "../commands.ts";
import type { Figures } from "../figures.ts";
import { seasonStrings } from "../strings/season.ts";
import type { NumberedNote } from "./wear-panel.tsx";

const words = seasonStrings.notes;
const LONGEST = 200;
const MOST_SHOWN = 40;

type NotesProps = {
  readonly notes: readonly NumberedNote[];
  readonly offsetSeconds: number;
  readonly figures: Figures;
  readonly send: (text: string) => Promise<Answer>;
};

export function Notes({ notes, offsetSeconds, figures, send }: NotesProps) {
  const text = useSignal("");
  const answer = useSignal("");
  const add = async (): Promise<void> => {
    const asked = text.value.trim();
    if (asked === "") return;
    const said = await send(asked);
    answer.value = said.text;
    if (said.done) text.value = "";
  };
  const shown = [...notes].reverse().slice(0, MOST_SHOWN);
  return (
    <section class="season-notes" aria-labelledby="season-notes-title">
      <h2 id="season-notes-title">{words.title}</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          void add();
        }}
      >
        <label>
          {words.field}
          <input
            type="text"
            maxLength={LONGEST}
            placeholder={words.example}
            value={text.value}
            onInput={(event) => {
              text.value = event.currentTarget.value;
            }}
          />
        </label>
        <button type="submit">
          {words.send}
          <NeedsLogin />
        </button>
        <p class="note" role="status">
          {answer.value === "" ? words.when : answer.value}
        </p>
      </form>
      {shown.length === 0 && <p class="note">{words.none}</p>}
      <ol>
        {shown.map(({ number, at_seconds, text: said, by }) => (
          <li key={number}>
            <span class="note-number">{number}</span>
            <span class="note-day">{figures.day(at_seconds + offsetSeconds)}</span>
            <span>
              {said} {by !== null && <span class="note">{words.by(by)}</span>}
            </span>
          </li>
        ))}
      </ol>
      {notes.length > shown.length && <p class="note">{words.earlier(notes.length - shown.length)}</p>}
    </section>
  );
}
