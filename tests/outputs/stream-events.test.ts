// Server-sent events over a real server: the messages of the stream, ids, what comes after a break, and who gets none.

import { once } from "node:events";
import type { Server } from "node:http";
import { connect } from "node:net";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { createSite } from "../../daemon/outputs/http.ts";
import { listen } from "../../daemon/outputs/listen.ts";
import { Stream } from "../../daemon/outputs/stream.ts";
import { mergeDelta } from "../../daemon/wire/delta.ts";
import type { Frame, ServerMessage } from "../../daemon/wire/frame.ts";
import { PLAIN_FRAME } from "../support/frame.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { NO_PASSWORDS, openDoor } from "../support/open-door.ts";
import { idleSources, PLAIN_ABOUT } from "../support/site.ts";

type Event = { readonly type: string; readonly id: string; readonly message: ServerMessage };
type Listener = {
  readonly response: Response;
  readonly events: Event[];
  readonly comments: () => number;
  stop(): void;
};

let clock: ManualClock;
let stream: Stream;
let server: Server;
let address: string;
let welcome: boolean;
const listeners: Listener[] = [];

const frameAt = (seconds: number): Frame => ({ ...PLAIN_FRAME, at_seconds: seconds });
const soon = (check: () => void): Promise<void> => vi.waitFor(check, { timeout: 10_000, interval: 5 });

beforeEach(async () => {
  clock = new ManualClock();
  welcome = true;
  stream = new Stream({ about: PLAIN_ABOUT, clock, mostReaders: 3 });
  const caller: typeof NO_PASSWORDS.caller = (credentials) => {
    const someone = NO_PASSWORDS.caller(credentials);
    return welcome ? someone : { ...someone, rights: new Set() };
  };
  server = createSite({ ...idleSources(clock), stream, door: openDoor({ ...NO_PASSWORDS, caller }) });
  address = await listen(server, { host: "127.0.0.1", port: 0 });
});

afterEach(async () => {
  for (const listener of listeners.splice(0)) listener.stop();
  stream.close();
  server.closeAllConnections();
  server.close();
  await once(server, "close");
});

/** Reads blocks of `field: value` lines as section 9.2.6 of the standard interprets them. */
async function listener(query = "", headers: Readonly<Record<string, string>> = {}): Promise<Listener> {
  const abort = new AbortController();
  const response = await fetch(`${address}api/v1/events${query}`, { headers, signal: abort.signal });
  const events: Event[] = [];
  let comments = 0;
  const read = async (): Promise<void> => {
    let rest = "";
    for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
      rest += Buffer.from(chunk).toString();
      const blocks = rest.split("\n\n");
      rest = blocks.pop() ?? "";
      for (const block of blocks) {
        if (block === ":") comments += 1;
        const fields = new Map(
          block.split("\n").map((line): [string, string] => {
            const colon = line.indexOf(":");
            return [line.slice(0, colon), line.slice(colon + 1).trimStart()];
          }),
        );
        const data = fields.get("data");
        if (data === undefined) continue;
        events.push({
          type: fields.get("event") ?? "",
          id: fields.get("id") ?? "",
          message: JSON.parse(data) as ServerMessage,
        });
      }
    }
  };
  const reading = read().catch(() => {});
  const made: Listener = {
    response,
    events,
    comments: () => comments,
    stop: () => {
      abort.abort();
      void reading;
    },
  };
  listeners.push(made);
  return made;
}

const types = ({ events }: Listener): string[] => events.map(({ type }) => type);

describe("a client", () => {
  it("gets a snapshot and deltas that add up, each with its id", async () => {
    stream.publish(frameAt(1));
    const one = await listener();
    expect(one.response.headers.get("content-type")).toBe("text/event-stream");
    for (let second = 2; second <= 4; second += 1) {
      clock.advance(1);
      stream.publish(frameAt(second));
    }
    await soon(() => expect(types(one)).toEqual(["snapshot", "delta", "delta", "delta"]));
    const frame = one.events.reduce<Frame>(
      (held, { message }) => (message.type === "snapshot" ? message.frame : mergeDelta(held, message.delta)),
      PLAIN_FRAME,
    );
    expect(frame).toEqual(frameAt(4));
    expect(new Set(one.events.map(({ id }) => id)).size).toBe(4);
  });

  it("that wants snapshots gets nothing else", async () => {
    const one = await listener("?form=snapshots");
    for (let second = 1; second <= 3; second += 1) {
      clock.advance(1);
      stream.publish(frameAt(second));
    }
    await soon(() => expect(types(one)).toEqual(["snapshot", "snapshot", "snapshot"]));
    expect(one.events.at(-1)?.message).toMatchObject({ frame: { at_seconds: 3 } });
  });

  it("that comes back with the newest id goes on, with an older or a strange one it begins anew", async () => {
    stream.publish(frameAt(1));
    const first = await listener();
    await soon(() => expect(first.events).toHaveLength(1));
    const id = first.events[0]?.id ?? "";
    first.stop();
    await soon(() => expect(stream.audience.readers).toBe(0));
    const back = await listener("", { "Last-Event-ID": id });
    const stranger = await listener("", { "Last-Event-ID": id.replace(/^./, "x") });
    clock.advance(1);
    stream.publish(frameAt(2));
    await soon(() => expect(types(stranger)).toEqual(["snapshot", "delta"]));
    await soon(() => expect(types(back)).toEqual(["delta"]));
    const late = await listener("", { "Last-Event-ID": id });
    await soon(() => expect(types(late)).toEqual(["snapshot"]));
  });

  it("hears a comment when nothing else is to be said", async () => {
    const one = await listener();
    clock.advance(10);
    await soon(() => expect(one.comments()).toBe(1));
    clock.advance(10);
    await soon(() => expect(one.comments()).toBe(2));
    expect(stream.audience.readers).toBe(1);
  });

  it("is let go after an hour, when it may look no longer, and when the daemon stops", async () => {
    const gone = async (act: () => void): Promise<void> => {
      await listener();
      expect(stream.audience.readers).toBe(1);
      act();
      await soon(() => expect(stream.audience.readers).toBe(0));
    };
    await gone(() => clock.advance(3_601));
    await gone(() => {
      welcome = false;
      stream.audience.review();
      welcome = true;
    });
    await gone(() => stream.close());
  });

  it("that reads nothing is skipped, then cut off", async () => {
    const raw = connect(Number(new URL(address).port), "127.0.0.1");
    raw.pause();
    raw.write("GET /api/v1/events HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
    await soon(() => expect(stream.audience.readers).toBe(1));
    const other = await listener();
    const bulk = "x".repeat(400_000);
    // As long as the kernel takes it all, the clock stands: what ends the client is its own standing still.
    for (let second = 1; second <= 60; second += 1) {
      clock.advance(0.2);
      stream.publish({ ...frameAt(second), reasons: [`${second}${bulk}`] });
      await soon(() => expect(other.events.length).toBeGreaterThanOrEqual(second));
    }
    await soon(() => {
      clock.advance(10);
      expect(stream.audience.readers).toBe(1);
    });
    raw.destroy();
  });
});

describe("a client that reads nothing and may look no longer", () => {
  it("loses its place although it never takes the goodbye", async () => {
    const raw = connect(Number(new URL(address).port), "127.0.0.1");
    raw.pause();
    raw.write("GET /api/v1/events?form=snapshots HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n");
    await soon(() => expect(stream.audience.readers).toBe(1));
    const bulk = "x".repeat(8_000_000);
    // More than kernel buffers on both sides hold: what is written after it stays here.
    stream.publish({ ...frameAt(1), reasons: [bulk] });
    welcome = false;
    stream.audience.review();
    expect(stream.audience.readers).toBe(1);
    await soon(() => {
      clock.advance(10);
      expect(stream.audience.readers).toBe(0);
    });
    raw.destroy();
  });
});

describe("who gets no events", () => {
  const status = async (query: string, init: RequestInit = {}): Promise<number> => {
    const response = await fetch(`${address}api/v1/events${query}`, init);
    await response.text();
    return response.status;
  };

  it("whoever asks for a form that there is not", async () => {
    expect(await status("?form=xml")).toBe(400);
  });

  it("the page of another site", async () => {
    expect(await status("", { headers: { Origin: "https://elsewhere.example" } })).toBe(403);
  });

  it("whoever comes when all places are taken", async () => {
    for (let place = 0; place < 3; place += 1) await listener();
    expect(await status("")).toBe(503);
    expect(stream.audience.refused).toBe(1);
  });

  it("a question for the headers alone, which takes no place", async () => {
    expect(await status("", { method: "HEAD" })).toBe(200);
    expect(stream.audience.readers).toBe(0);
  });
});
