// The stream as server-sent events (WHATWG HTML standard, section 9.2), for clients without a WebSocket: a shell, a small board.
// The messages are those of the WebSocket; an event that was missed is not sent again, because the newest frame says all.

import type { Request, Response } from "express";
import type { Clock } from "../../hardware/ports.ts";
import type { Route } from "./api/route.ts";
import type { StreamReader, StreamText } from "./audience.ts";
import type { Door } from "./door.ts";
import { fail } from "./http-error.ts";
import type { Stream } from "./stream.ts";
import { NO_PLACE } from "./stream-socket.ts";

const EVENTS_PATH = "/api/v1/events";
/** A browser waits so long before it comes back. */
const RETRY_MILLISECONDS = 2_000;
/** Nobody answers here, so a reader that stands still could keep its place while the kernel's buffers fill. It comes back by itself. */
const LONGEST_SECONDS = 3_600;
const FORMS = ["deltas", "snapshots"] as const;

export type EventSources = { readonly stream: Stream; readonly door: Pick<Door, "admit">; readonly clock: Clock };

export function eventsRoute(sources: EventSources): Route {
  return {
    method: "get",
    path: EVENTS_PATH,
    operation: "openEvents",
    tag: "state",
    summary: "The state as it changes, as server-sent events",
    description: `Each event is \`snapshot\` or \`delta\`, its data a StreamMessage on one line. A client that comes back with the newest event's id in Last-Event-ID gets the next delta, any other a snapshot. Comments keep the connection alive. After ${LONGEST_SECONDS / 60} minutes it ends; an EventSource connects anew.`,
    parameters: [
      {
        name: "form",
        in: "query",
        description: "`snapshots`: the whole state each time, so that nothing has to be added up.",
        schema: { enum: FORMS, default: "deltas" },
        example: "snapshots",
      },
    ],
    answers: { 200: { description: "The events", content: { "text/event-stream": { type: "string" } } } },
    errors: ["UNAVAILABLE"],
    handle: (request, response) => openEvents(sources, request, response),
  };
}

function openEvents({ stream, door, clock }: EventSources, request: Request, response: Response): void {
  const form = request.query["form"] ?? "deltas";
  if (!FORMS.some((known) => known === form)) {
    fail(response, "BAD_REQUEST", `form: expected ${FORMS.join(" or ")}`);
    return;
  }
  const admitted = door.admit(request);
  if (!("stillWelcome" in admitted)) {
    fail(response, ...admitted);
    return;
  }
  if (!stream.audience.hasPlace(admitted.address)) {
    fail(response, "UNAVAILABLE", NO_PLACE);
    return;
  }
  // Proxies of several makes hold an answer back until much of it has come, unless this is said.
  response.writeHead(200, { "Content-Type": "text/event-stream", "X-Accel-Buffering": "no" });
  if (request.method === "HEAD") {
    response.end();
    return;
  }
  response.write(`retry: ${RETRY_MILLISECONDS}\n\n`);
  const reader = new EventReader(response, stream.key);
  const held = heldBy(request.get("Last-Event-ID"), stream.key);
  const leave = stream.audience.join(reader, { ...admitted, held, whole: form === "snapshots" });
  const cancel = clock.after(LONGEST_SECONDS, () => response.end());
  response.once("close", () => {
    cancel();
    leave();
  });
}

/** The sequence in an event's id, when it is one of this stream's. */
function heldBy(id: string | undefined, key: string): number | null {
  const digits = id?.startsWith(`${key}.`) === true ? id.slice(key.length + 1) : "";
  return /^\d{1,15}$/.test(digits) ? Number(digits) : null;
}

class EventReader implements StreamReader {
  readonly #response: Response;
  readonly #key: string;
  #taken = true;

  constructor(response: Response, key: string) {
    this.#response = response;
    this.#key = key;
    response.on("error", () => response.destroy());
  }

  get waitingBytes(): number {
    return this.#response.writableLength;
  }

  send({ type, sequence, text }: StreamText): void {
    // JSON has no line ends of its own, so the data are one line.
    if (this.#response.writable)
      this.#response.write(`event: ${type}\nid: ${this.#key}.${sequence}\ndata: ${text}\n\n`);
  }

  /** A comment: it keeps proxies awake. That the kernel takes it is all that can be asked. */
  probe(): boolean {
    if (!this.#taken) return false;
    this.#taken = false;
    if (this.#response.writable) {
      this.#response.write(":\n\n", () => {
        this.#taken = true;
      });
    }
    return true;
  }

  end(): void {
    this.#response.end();
  }

  cutOff(): void {
    this.#response.destroy();
  }
}
