// The login: role where there is a choice, password, what went wrong, and what an unencrypted line means. It keeps no password.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { LONGEST_PASSWORD, ROLES, type Role } from "../../daemon/wire/access.ts";
import { accessWords as words } from "../strings/access.ts";
import type { AccessDesk } from "./desk.ts";

type FormProps = { readonly desk: AccessDesk; readonly onDone: () => void; readonly onClose?: () => void };

export function LoginForm({ desk, onDone, onClose }: FormProps) {
  const field = useRef<HTMLInputElement>(null);
  const access = desk.access.value;
  const choosing = access?.viewer_password === true && access.logged_in === null;
  const role = useSignal<Role>(access?.may.read === false ? "viewer" : "operator");
  const said = useSignal<string | "asking" | null>(null);
  useEffect(() => field.current?.focus(), []);
  const send = async (): Promise<void> => {
    const input = field.current;
    if (input === null || said.value === "asking") return;
    said.value = "asking";
    const refusal = await desk.logIn(choosing ? role.value : "operator", input.value);
    input.value = "";
    said.value = refusal;
    if (refusal === null) onDone();
    else input.focus();
  };
  const refused = said.value !== null && said.value !== "asking" ? said.value : "";
  return (
    <form
      class="login"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      {choosing && (
        <fieldset class="choices">
          <legend>{words.as}</legend>
          {ROLES.map((choice) => (
            <label key={choice}>
              <input
                type="radio"
                name="role"
                checked={role.value === choice}
                onChange={() => {
                  role.value = choice;
                }}
              />
              {words.choice[choice]}
            </label>
          ))}
        </fieldset>
      )}
      <label class="comment">
        {words.password}
        <input
          ref={field}
          type="password"
          autocomplete="current-password"
          maxLength={LONGEST_PASSWORD}
          required
          aria-invalid={refused !== ""}
          aria-describedby="login-refused"
        />
      </label>
      {/* For the browser's own store of passwords, which files them by name. After the field: a dialog puts the focus on the first. */}
      <input
        class="hidden"
        type="text"
        autocomplete="username"
        value={role.value}
        readOnly
        tabIndex={-1}
        aria-hidden="true"
      />
      <p id="login-refused" class="login-refused" role="alert">
        {refused}
      </p>
      {access !== null && !access.encrypted && !access.local && <p class="note">{words.clear}</p>}
      <div class="dialog-buttons">
        <button type="submit" disabled={said.value === "asking"}>
          {words.logIn}
        </button>
        {onClose !== undefined && (
          <button type="button" onClick={onClose}>
            {words.close}
          </button>
        )}
      </div>
    </form>
  );
}

/** Login, logout, or why there is neither, over whatever view is open. */
export function LoginDialog({ desk }: { readonly desk: AccessDesk }) {
  const dialog = useRef<HTMLDialogElement>(null);
  const trouble = useSignal("");
  useEffect(() => dialog.current?.showModal(), []);
  const access = desk.access.value;
  const close = (): void => dialog.current?.close();
  const leave = async (everywhere: boolean): Promise<void> => {
    const refusal = await desk.logOut(everywhere);
    if (refusal === null) close();
    else trouble.value = refusal;
  };
  const role = access?.logged_in ?? null;
  const title = role !== null ? words.titleIn[role] : access?.operator_password === true ? words.title : words.readOnly;
  return (
    <dialog
      ref={dialog}
      aria-labelledby="login-title"
      onClose={() => {
        desk.open.value = false;
      }}
    >
      <h2 id="login-title" class="question">
        {title}
      </h2>
      {role !== null && <p>{words.inNote[role]}</p>}
      {role === null && access?.operator_password === false && <p>{words.why.noPassword}</p>}
      {role !== "operator" && access?.operator_password === true && (
        <LoginForm desk={desk} onDone={close} onClose={close} />
      )}
      {role !== null && <p role="status">{trouble.value}</p>}
      {role !== null && (
        <div class="dialog-buttons">
          <button type="button" onClick={() => void leave(false)}>
            {words.logOut}
          </button>
          <button type="button" onClick={() => void leave(true)}>
            {words.everywhere}
          </button>
        </div>
      )}
      {role === "operator" || access?.operator_password !== true ? (
        <div class="dialog-buttons">
          <button type="button" onClick={close}>
            {words.close}
          </button>
        </div>
      ) : null}
    </dialog>
  );
}
