// Who the daemon takes this page's reader for: asked when the page opens, when the line comes or goes, and now and then. It sends
// passwords and keeps none.

import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Access, Role } from "../../daemon/wire/access.ts";
import type { PageClock } from "../clock.ts";
import { accessWords as words } from "../strings/access.ts";

export type Right = keyof Access["may"];

export type AccessDesk = {
  /** Null until the daemon has said it. */
  readonly access: ReadonlySignal<Access | null>;
  /** Whether the login's dialog stands open. */
  readonly open: Signal<boolean>;
  readonly look: () => Promise<void>;
  /** Null when it is done, else why not. */
  readonly logIn: (role: Role, password: string) => Promise<string | null>;
  readonly logOut: (everywhere: boolean) => Promise<string | null>;
};

const ADDRESS = "/api/v1/access";
/** A password is computed slowly on purpose, slowest on a small board. */
const DEADLINE_MILLISECONDS = 20_000;
const LOOK_SECONDS = 60;

export type DeskOptions = {
  readonly fetch: typeof fetch;
  readonly clock: PageClock;
  /** Called when what the reader may do has changed. */
  readonly onChange: () => void;
};

export function createAccessDesk({ fetch, clock, onChange }: DeskOptions): AccessDesk {
  const access = signal<Access | null>(null);
  const open = signal(false);
  const signalled = (): { signal: AbortSignal } => ({ signal: AbortSignal.timeout(DEADLINE_MILLISECONDS) });

  const look = async (): Promise<void> => {
    try {
      const answer = await fetch(ADDRESS, signalled());
      if (!answer.ok) return;
      const before = access.value;
      access.value = (await answer.json()) as Access;
      if (before !== null && before.may.read !== access.value.may.read) onChange();
    } catch {
      // The line says by itself that the daemon does not answer.
    }
  };

  const post = async (path: string, body: unknown, refusal: (answer: Response) => string): Promise<string | null> => {
    try {
      const answer = await fetch(`${ADDRESS}/${path}`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(body),
        ...signalled(),
      });
      if (!answer.ok) return refusal(answer);
    } catch {
      return words.failed;
    }
    await look();
    return null;
  };

  void look();
  clock.every(LOOK_SECONDS, () => void look());
  return {
    access,
    open,
    look,
    logIn: (role, password) => post("login", { as: role, password }, refusalOf),
    logOut: (everywhere) => post("logout", { everywhere }, () => words.failed),
  };
}

function refusalOf(answer: Response): string {
  if (answer.status === 401 || answer.status === 400) return words.wrong;
  const seconds = Number(answer.headers.get("retry-after") ?? Number.NaN);
  return Number.isFinite(seconds) ? words.wait(seconds) : words.failed;
}

/** Why this reader may not; null when they may, or when nobody has said yet. */
export function whyNot(access: Access | null, right: Right): string | null {
  if (access === null || access.may[right]) return null;
  if (access.locked) return words.why.locked;
  if (!access.operator_password) return words.why.noPassword;
  return access.logged_in === "viewer" ? words.why.viewer : words.why.login;
}

/** Would a login help? */
export const mayLogIn = (access: Access | null): boolean =>
  access !== null && !access.locked && access.operator_password && access.logged_in !== "operator";
