// The question before a command goes out: what will happen, and a way back. It sends only after the operator said yes.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Answer, PageAction } from "../commands.ts";
import { strings } from "../strings.ts";

const words = strings.confirm;

const asked = (action: PageAction) =>
  action.kind === "reset"
    ? { title: words.reset.title, consequence: words.reset.consequence, act: words.reset.act }
    : {
        title: words.acknowledge.title(action.tag),
        consequence: words.acknowledge.consequence,
        act: words.acknowledge.act,
      };

type ConfirmProps = {
  readonly action: PageAction;
  readonly send: (action: PageAction) => Promise<Answer>;
  readonly onClose: () => void;
};

export function Confirm({ action, send, onClose }: ConfirmProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const answer = useSignal<Answer | "asking" | null>(null);
  useEffect(() => dialog.current?.showModal(), []);
  const { title, consequence, act } = asked(action);
  const close = (): void => dialog.current?.close();
  const go = async (): Promise<void> => {
    answer.value = "asking";
    const said = await send(action);
    if (said.done) close();
    else answer.value = said;
  };
  const said = answer.value;
  return (
    <dialog ref={dialog} onClose={onClose} aria-labelledby="confirm-title">
      <h2 id="confirm-title" class="question">
        {title}
      </h2>
      <p>{consequence}</p>
      <p role="status">{said === null || said === "asking" ? "" : said.text}</p>
      <div class="dialog-buttons">
        <button type="button" class="act" disabled={said === "asking"} onClick={() => void go()}>
          {act}
        </button>
        <button type="button" onClick={close}>
          {words.cancel}
        </button>
      </div>
    </dialog>
  );
}
