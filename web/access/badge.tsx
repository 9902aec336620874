// Who is logged in, in the header of every view, and the way to the login. Nothing is shown where everybody who can see the page may
// also operate it.

import { accessWords as words } from "../strings/access.ts";
import { type AccessDesk, mayLogIn } from "./desk.ts";

export function AccessBadge({ desk }: { readonly desk: AccessDesk }) {
  const access = desk.access.value;
  if (access === null || (access.logged_in === null && access.may.operate)) return null;
  const state = access.logged_in === null ? words.readOnly : words.name[access.logged_in];
  return (
    <p class="access">
      <svg viewBox="0 0 12 12" aria-hidden="true">
        <path
          class="mark-line"
          d={access.may.operate ? "M 3 6 V 3.5 A 2.5 2.5 0 0 1 8 3" : "M 3 6 V 3.5 A 2.5 2.5 0 0 1 9 3.5 V 6"}
        />
        <rect class="mark-solid" x="1.5" y="5.5" width="9" height="6" />
      </svg>
      <span>{state}</span>
      <button
        type="button"
        aria-haspopup="dialog"
        onClick={() => {
          desk.open.value = true;
        }}
      >
        {access.logged_in === null && mayLogIn(access)
          ? words.logIn
          : access.logged_in === null
            ? words.whyButton
            : words.change}
      </button>
    </p>
  );
}
