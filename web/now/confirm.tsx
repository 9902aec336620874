// The question before a command goes out: what will happen, for how long and why, and a way back. It sends only after the
// operator said yes.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { useWhyNot } from "../access/context.tsx";
import { Refused } from "../access/refused.tsx";
import type { Answer, PageAction } from "../commands.ts";
import { strings } from "../strings.ts";

const words = strings.confirm;
const name = strings.alarmView.name;

type Question = { readonly title: string; readonly consequence: string; readonly act: string };

function asked(action: PageAction): Question {
  switch (action.kind) {
    case "acknowledge":
    case "shelve":
    case "unshelve":
      return { ...words[action.kind], title: words[action.kind].title(name(action.tag)) };
    case "proof test":
      return { ...words["proof test"], title: words["proof test"].title(action.step) };
    case "reset":
    case "bypass":
    case "end bypass":
      return words[action.kind];
  }
}

/** Ends an operator may choose, min. */
const MINUTES = { shelve: [15, 60, 240, 480], bypass: [5, 10, 15, 30] } as const;

type Send = (action: PageAction) => Promise<Answer>;
type ConfirmProps = { readonly pending: Signal<PageAction | null>; readonly send: Send };

/** The dialog for the action that is pending; nothing while none is. Closed, it leaves none. */
export function Confirm({ pending, send }: ConfirmProps) {
  const action = pending.value;
  const why = useWhyNot(action?.kind === "acknowledge" ? "acknowledge" : "operate");
  if (action === null) return null;
  const onClose = (): void => {
    pending.value = null;
  };
  return why === null ? (
    <Ask action={action} send={send} onClose={onClose} />
  ) : (
    <Refused title={asked(action).title} why={why} onClose={onClose} />
  );
}

type AskProps = { readonly action: PageAction; readonly send: Send; readonly onClose: () => void };

function Ask({ action, send, onClose }: AskProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const answer = useSignal<Answer | "asking" | null>(null);
  const choices: readonly number[] = action.kind === "shelve" || action.kind === "bypass" ? MINUTES[action.kind] : [];
  const minutes = useSignal(choices[0] ?? 0);
  const comment = useSignal("");
  useEffect(() => dialog.current?.showModal(), []);
  const { title, consequence, act } = asked(action);
  const close = (): void => dialog.current?.close();
  const why = comment.value.trim();
  const complete = (): PageAction => {
    const seconds = minutes.value * 60;
    if (action.kind === "bypass") return { kind: "bypass", seconds, comment: why };
    const said = why === "" ? {} : { comment: why };
    if (action.kind === "shelve") return { ...action, seconds, ...said };
    return action.kind === "acknowledge" ? { ...action, ...said } : action;
  };
  const go = async (): Promise<void> => {
    answer.value = "asking";
    const said = await send(complete());
    if (said.done) close();
    else answer.value = said;
  };
  const said = answer.value;
  const mustSayWhy = action.kind === "bypass";
  const maySayWhy = mustSayWhy || action.kind === "shelve" || action.kind === "acknowledge";
  return (
    <dialog ref={dialog} onClose={onClose} aria-labelledby="confirm-title">
      <h2 id="confirm-title" class="question">
        {title}
      </h2>
      <p>{consequence}</p>
      {choices.length > 0 && (
        <fieldset class="choices">
          <legend>{words.minutes}</legend>
          {choices.map((choice) => (
            <label key={choice}>
              <input
                type="radio"
                name="minutes"
                checked={minutes.value === choice}
                onChange={() => {
                  minutes.value = choice;
                }}
              />
              {words.choice(choice)}
            </label>
          ))}
        </fieldset>
      )}
      {maySayWhy && (
        <label class="comment">
          {mustSayWhy ? words.comment : words.commentOptional}
          <input
            type="text"
            maxLength={500}
            required={mustSayWhy}
            value={comment.value}
            onInput={(event) => {
              comment.value = event.currentTarget.value;
            }}
          />
        </label>
      )}
      <p role="status">{said === null || said === "asking" ? "" : said.text}</p>
      <div class="dialog-buttons">
        <button
          type="button"
          class="act"
          disabled={said === "asking" || (mustSayWhy && why === "")}
          onClick={() => void go()}
        >
          {act}
        </button>
        <button type="button" onClick={close}>
          {words.cancel}
        </button>
      </div>
    </dialog>
  );
}
