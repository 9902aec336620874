// A line for the record about something that a person or a program changed over HTTP. Types only.

import type { Caller } from "../access/caller.ts";

/** `tag` names what was changed, `text` says how; who did it and from where comes from the caller. */
export type Note = (tag: string, text: string, caller: Pick<Caller, "who" | "address">) => void;
