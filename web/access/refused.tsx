// In the place of a command's question while the reader may not give it: why not, and the way to the login.

import { useContext, useEffect, useRef } from "preact/hooks";
import { accessWords as words } from "../strings/access.ts";
import { AccessContext } from "./context.tsx";
import { mayLogIn } from "./desk.ts";

type RefusedProps = { readonly title: string; readonly why: string; readonly onClose: () => void };

export function Refused({ title, why, onClose }: RefusedProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const desk = useContext(AccessContext);
  useEffect(() => dialog.current?.showModal(), []);
  return (
    <dialog ref={dialog} onClose={onClose} aria-labelledby="refused-title">
      <h2 id="refused-title" class="question">
        {title}
      </h2>
      <p>{why}</p>
      <div class="dialog-buttons">
        {desk !== null && mayLogIn(desk.access.value) && (
          <button
            type="button"
            onClick={() => {
              desk.open.value = true;
            }}
          >
            {words.logIn}
          </button>
        )}
        <button type="button" onClick={() => dialog.current?.close()}>
          {words.close}
        </button>
      </div>
    </dialog>
  );
}
