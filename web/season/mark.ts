// Asks the daemon to keep or to forget a marked session. A refusal or a silence comes back as words, never as an exception.

import { detailOf } from "../../daemon/wire/http-problem.ts";
import type { Session } from "../../daemon/wire/season.ts";
import type { Answer } from "../commands.ts";
import { strings } from "../strings.ts";

const DEADLINE_MILLISECONDS = 8_000;
const ADDRESS = "/api/v1/season/sessions";
const words = strings.confirm;

/** Marks `session`; `done` says in what words it is confirmed. */
export const markSession = (ask: typeof fetch, session: Omit<Session, "id">, done: string): Promise<Answer> =>
  asked(ask, ADDRESS, { method: "POST", headers: JSON_TYPE, body: JSON.stringify(session) }, done);

/** Forgets the mark; the log keeps what it holds of it. */
export const forgetSession = (ask: typeof fetch, id: number, done: string): Promise<Answer> =>
  asked(ask, `${ADDRESS}/${id}`, { method: "DELETE" }, done);

const JSON_TYPE = { "content-type": "application/json" } as const;

async function asked(ask: typeof fetch, address: string, init: RequestInit, done: string): Promise<Answer> {
  try {
    const answer = await ask(address, { ...init, signal: AbortSignal.timeout(DEADLINE_MILLISECONDS) });
    if (answer.ok) return { done: true, text: done };
    if (answer.status === 401) return { done: false, text: words.refused(words.login) };
    const body: unknown = await answer.json().catch(() => null);
    return { done: false, text: words.refused(detailOf(body) ?? String(answer.status)) };
  } catch {
    return { done: false, text: words.refused(words.noAnswer) };
  }
}
