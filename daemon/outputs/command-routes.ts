// Operators' commands and the test of the notices over HTTP. It checks shapes, passes on and reports; the program decides.

import type { Request, Response } from "express";
import type { Action, Answer } from "../core/commands.ts";
import { ACTION_SCHEMA, parseAction } from "./action.ts";
import { json, type Route } from "./api/route.ts";
import { type Door, refuse, visitorOf } from "./door.ts";
import { fail } from "./http-error.ts";
import type { Note } from "./note.ts";
import type { ChannelHealth } from "./notices/courier.ts";

export type CommandSources = {
  readonly door: Pick<Door, "refused">;
  /** Resolves with what the program said; rejects when it cannot be asked now. */
  readonly submit: (action: Action, id: string | null, by: string, from: string) => Promise<Answer>;
  /** A line for the record about something that was changed, with who did it and from where. */
  readonly note: Note;
  /** Who is told of alarms, and how that goes; null where nobody is. */
  readonly notices: { health(): readonly ChannelHealth[]; test(): void } | null;
};

const ID = "^[A-Za-z0-9_.:-]{1,64}$";

const EXAMPLES: Readonly<Record<string, Action>> = {
  note: { kind: "note", text: "rain has begun" },
  acknowledge: { kind: "acknowledge", tag: "fan_stall", comment: "on my way" },
  shelve: { kind: "shelve", tag: "flow_factor_low", seconds: 3600 },
  unshelve: { kind: "unshelve", tag: "flow_factor_low" },
  "out of service": { kind: "out of service", tag: "flow_factor_low", comment: "screen removed" },
  "return to service": { kind: "return to service", tag: "flow_factor_low" },
  "fan off on purpose": { kind: "fan off on purpose", seconds: 120 },
  "fan on again": { kind: "fan on again" },
  "fan replaced": { kind: "fan replaced" },
  "spot reading": { kind: "spot reading", celsius: 61.5, secondsAgo: 20 },
  bypass: { kind: "bypass", seconds: 600, comment: "I can hear the fan" },
  "end bypass": { kind: "end bypass" },
  "proof test": { kind: "proof test", step: "begin" },
  reset: { kind: "reset" },
};

/** Below /api/v1: `commands`, `notices/test`. */
export function commandRoutes(sources: CommandSources): readonly Route[] {
  return [
    {
      method: "post",
      path: "/api/v1/commands",
      operation: "giveCommand",
      tag: "commands",
      summary: "Give the program a command, and wait for what it says",
      description:
        "The same `id` asked again while it waits is one command. 200 with `accepted: false` is the program's refusal, with its reason.",
      body: {
        limit: "16kb",
        schema: {
          type: "object",
          properties: { id: { type: "string", pattern: ID }, action: ACTION_SCHEMA },
          required: ["action"],
          additionalProperties: false,
        },
        examples: Object.fromEntries(
          Object.entries(EXAMPLES).map(([name, action]) => [
            name,
            { id: `example.${name.replaceAll(" ", "-")}`, action },
          ]),
        ),
      },
      answers: { 200: json("Answer", "What the program said") },
      errors: ["UNAVAILABLE"],
      // Some may do this one thing only; takeCommand looks which it is.
      right: "acknowledge",
      handle: (request, response) => takeCommand(sources, request, response),
    },
    {
      method: "post",
      path: "/api/v1/notices/test",
      operation: "testNotices",
      tag: "commands",
      summary: "Send a test to everybody who is told of alarms",
      description: "Accepted means under way; `notices` in the state tells what became of it.",
      answers: {
        202: json(
          {
            type: "object",
            properties: { channels: { type: "array", items: { type: "string" } } },
            required: ["channels"],
          },
          "Under way on these channels",
        ),
      },
      errors: ["UNAVAILABLE"],
      handle: (_request, response) => {
        if (sources.notices === null) {
          return fail(response, "UNAVAILABLE", "no notices are configured: add a table [notices]");
        }
        sources.notices.test();
        sources.note("notices-test", "a test was sent to all channels", visitorOf(response).caller);
        return response.status(202).json({ channels: sources.notices.health().map(({ name }) => name) });
      },
    },
  ];
}

async function takeCommand(sources: CommandSources, request: Request, response: Response): Promise<void> {
  const { id, action, ...rest } = request.body as { readonly id?: unknown; readonly action?: unknown };
  const stranger = Object.keys(rest)[0];
  if (stranger !== undefined) {
    return fail(
      response,
      "BAD_REQUEST",
      `${stranger.slice(0, 40)}: expected only id, action, got ${stranger.slice(0, 40)}`,
    );
  }
  if (id !== undefined && !(typeof id === "string" && new RegExp(ID).test(id))) {
    return fail(response, "BAD_REQUEST", "id: expected 1 to 64 letters, digits, or . : - _");
  }
  const parsed = parseAction(action);
  if ("bad" in parsed) {
    const { what, expected, got } = parsed.bad;
    return fail(response, "BAD_REQUEST", `${what}: expected ${expected}, got ${got}`);
  }
  const { caller } = visitorOf(response);
  const refusal = sources.door.refused(caller, parsed.action.kind === "acknowledge" ? "acknowledge" : "operate");
  if (refusal !== null) return refuse(response, refusal);
  try {
    response.json(await sources.submit(parsed.action, id ?? null, caller.who, caller.address));
  } catch (error) {
    fail(response, "UNAVAILABLE", error instanceof Error ? error.message : String(error));
  }
}
