// Carries the access desk to every control, and says on a control in words that it needs a login. It forbids nothing: the daemon does.

import { createContext } from "preact";
import { useContext } from "preact/hooks";
import { accessWords as words } from "../strings/access.ts";
import { type AccessDesk, mayLogIn, type Right, whyNot } from "./desk.ts";

export const AccessContext = createContext<AccessDesk | null>(null);

/** Why the reader may not use a control of this kind; null when they may. */
export function useWhyNot(right: Right): string | null {
  return whyNot(useContext(AccessContext)?.access.value ?? null, right);
}

/** Goes inside a button, after its words: says that it needs a login, or that it cannot be used from here. */
export function NeedsLogin({ right = "operate" }: { readonly right?: Right }) {
  const access = useContext(AccessContext)?.access.value ?? null;
  if (whyNot(access, right) === null) return null;
  return <span class="needs-login">{` (${mayLogIn(access) ? words.needs : words.notHere})`}</span>;
}
