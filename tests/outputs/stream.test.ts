// The stream over real sockets: snapshot first, numbered deltas that add up to the newest frame, strangers and crowds kept out.

import { once } from "node:events";
import { createServer, type IncomingMessage, type Server } from "node:http";
import { connect } from "node:net";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { WebSocket } from "ws";
import { listen } from "../../daemon/outputs/listen.ts";
import { Stream } from "../../daemon/outputs/stream.ts";
import { attachSockets, STREAM_PATH } from "../../daemon/outputs/stream-socket.ts";
import { mergeDelta } from "../../daemon/wire/delta.ts";
import type { Frame, ServerMessage } from "../../daemon/wire/frame.ts";
import type { HttpProblem } from "../../daemon/wire/http-problem.ts";
import { PLAIN_FRAME } from "../support/frame.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { openDoor } from "../support/open-door.ts";
import { PLAIN_ABOUT } from "../support/site.ts";

const frameAt = (seconds: number): Frame => ({ ...PLAIN_FRAME, at_seconds: seconds });

let clock: ManualClock;
let stream: Stream;
let server: Server;
let address: string;
const sockets: WebSocket[] = [];

beforeEach(async () => {
  clock = new ManualClock();
  stream = new Stream({ about: PLAIN_ABOUT, clock, mostReaders: 3 });
  server = createServer();
  attachSockets(server, STREAM_PATH, stream.audience, openDoor());
  address = (await listen(server, { host: "127.0.0.1", port: 0 })).replace("http", "ws");
});

afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.terminate();
  stream.close();
  server.closeAllConnections();
  server.close();
  await once(server, "close");
});

type Page = { readonly socket: WebSocket; readonly messages: ServerMessage[] };

async function page(headers: Readonly<Record<string, string>> = {}): Promise<Page> {
  const socket = new WebSocket(`${address}api/v1/stream`, { headers });
  sockets.push(socket);
  const messages: ServerMessage[] = [];
  socket.on("message", (text) => messages.push(JSON.parse(String(text)) as ServerMessage));
  await once(socket, "open");
  return { socket, messages };
}

/** The status with which an upgrade was refused. */
async function refusal(path: string, headers: Readonly<Record<string, string>> = {}): Promise<number | undefined> {
  const socket = new WebSocket(`${address}${path}`, { headers });
  sockets.push(socket);
  socket.on("error", () => {});
  const [, response] = (await once(socket, "unexpected-response")) as [unknown, IncomingMessage];
  expect(response.headers["content-type"]).toBe("application/problem+json");
  const problem = JSON.parse(String(await response.toArray())) as HttpProblem;
  expect(problem.status).toBe(response.statusCode);
  return response.statusCode;
}

const held = ({ messages }: Page, count: number): Promise<void> =>
  vi.waitFor(() => expect(messages.length).toBeGreaterThanOrEqual(count), { timeout: 10_000, interval: 5 });

/** What a page would believe, and that no number was skipped. */
function believed(messages: readonly ServerMessage[]): Frame {
  const first = messages[0];
  if (first?.type !== "snapshot") throw new Error("the first message is no snapshot");
  return messages.slice(1).reduce((frame, message, index) => {
    expect(message.sequence).toBe(first.sequence + index + 1);
    return message.type === "snapshot" ? message.frame : mergeDelta(frame, message.delta);
  }, first.frame);
}

describe("a page", () => {
  it("gets a snapshot at once, then deltas that add up", async () => {
    stream.publish(frameAt(1));
    const early = await page();
    await held(early, 1);
    for (let second = 2; second <= 4; second += 1) {
      clock.advance(1);
      stream.publish(frameAt(second));
    }
    await held(early, 4);
    expect(early.messages.map(({ type }) => type)).toEqual(["snapshot", "delta", "delta", "delta"]);
    expect(early.messages[0]).toMatchObject({ about: PLAIN_ABOUT });
    expect(believed(early.messages)).toEqual(frameAt(4));
  });

  it("that comes before the first frame gets its snapshot with it", async () => {
    const early = await page();
    stream.publish(frameAt(1));
    await held(early, 1);
    expect(early.messages[0]).toMatchObject({ type: "snapshot", frame: frameAt(1) });
  });

  it("gets at most five frames a second, and the newest of them", async () => {
    const one = await page();
    for (let index = 0; index < 100; index += 1) {
      stream.publish(frameAt(index));
      clock.advance(0.01);
    }
    clock.advance(1);
    await held(one, 6);
    expect(one.messages).toHaveLength(6);
    expect(believed(one.messages)).toEqual(frameAt(99));
  });

  it("that talks is shown the door", async () => {
    const rude = await page();
    rude.socket.send("hello");
    const [code] = (await once(rude.socket, "close")) as [number];
    expect(code).toBe(1008);
  });

  it("that answers no ping is ended", async () => {
    const dead = await page();
    dead.socket.pong = () => {};
    (dead.socket as unknown as { _receiver: { removeAllListeners(name: string): void } })._receiver.removeAllListeners(
      "ping",
    );
    clock.advance(10);
    clock.advance(10);
    await once(dead.socket, "close");
    await vi.waitFor(() => expect(stream.audience.readers).toBe(0), { timeout: 10_000, interval: 5 });
  });

  it("that reads nothing is skipped, and resumes with a snapshot of the newest", async () => {
    const slow = await page();
    const others = await page();
    stream.publish(frameAt(0));
    await held(slow, 1);
    slow.socket.pause();
    const bulk = "x".repeat(400_000);
    // Within ten seconds of the stream's clock, so that no ping ends the client first.
    for (let second = 1; second <= 40; second += 1) {
      clock.advance(0.2);
      stream.publish({ ...frameAt(second), reasons: [`${second}${bulk}`] });
      await held(others, second + 1);
    }
    const before = slow.messages.length;
    slow.socket.resume();
    await vi.waitFor(
      () => {
        clock.advance(0.02);
        stream.publish(frameAt(101));
        const resumed = slow.messages.findLastIndex(({ type }) => type === "snapshot");
        expect(resumed).toBeGreaterThan(before);
        expect(believed(slow.messages.slice(resumed))).toEqual(frameAt(101));
      },
      { timeout: 10_000, interval: 20 },
    );
    expect(slow.messages.length).toBeLessThan(others.messages.length);
  });
});

describe("strangers and crowds", () => {
  it("a page of another site is refused, our own is let in", async () => {
    const host = new URL(address).host;
    expect(await refusal("api/v1/stream", { Origin: "https://elsewhere.example" })).toBe(403);
    expect(await refusal("api/v1/stream", { Host: "elsewhere.example", Origin: "http://elsewhere.example" })).toBe(403);
    await page({ Origin: `http://${host}` });
    expect(stream.audience.readers).toBe(1);
  });

  it("another path is not the stream", async () => {
    expect(await refusal("api/v1/other")).toBe(404);
  });

  it("beyond the places nobody is let in, and a free place is given again", async () => {
    const [first] = [await page(), await page(), await page()];
    expect(await refusal("api/v1/stream")).toBe(503);
    expect(stream.audience.refused).toBe(1);
    first?.socket.close();
    await vi.waitFor(() => expect(stream.audience.readers).toBe(2), { timeout: 10_000, interval: 5 });
    await page();
    expect(stream.audience.readers).toBe(3);
  });

  it("a socket that dies in the middle of its greeting harms nobody", async () => {
    const raw = connect(Number(new URL(address).port), "127.0.0.1");
    await once(raw, "connect");
    raw.write("GET /api/v1/other HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\r\n");
    raw.resetAndDestroy();
    await page();
    expect(stream.audience.readers).toBe(1);
  });
});

describe("options", () => {
  it("are checked at birth", () => {
    expect(() => new Stream({ about: PLAIN_ABOUT, clock, mostReaders: 0 })).toThrow("mostReaders");
  });
});
