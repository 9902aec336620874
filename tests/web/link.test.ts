// The line to the daemon on a clock and sockets of the test's own: it comes back by itself, waits no longer than it must,
// drops what is silent, and asks anew after a gap.

import { describe, expect, it } from "vitest";
import type { ServerMessage } from "../../daemon/wire/frame.ts";
import { backoffSeconds } from "../../web/backoff.ts";
import { openLink, type Socket } from "../../web/link.ts";
import type { LinkState } from "../../web/model.ts";
import { ManualClock } from "../support/manual-clock.ts";
import { ABOUT, frameWith } from "./frames.ts";

class TestSocket implements Socket {
  onopen: (() => void) | null = null;
  onmessage: ((event: { readonly data: unknown }) => void) | null = null;
  onclose: (() => void) | null = null;
  onerror: (() => void) | null = null;
  closed = false;

  close(): void {
    this.closed = true;
  }

  say(message: ServerMessage): void {
    this.onmessage?.({ data: JSON.stringify(message) });
  }
}

const snapshot: ServerMessage = { type: "snapshot", sequence: 1, about: ABOUT, frame: frameWith() };

function rig(askAnew = () => false) {
  const time = new ManualClock();
  const sockets: TestSocket[] = [];
  const states: LinkState[] = [];
  const heard: ServerMessage[] = [];
  const link = openLink<ServerMessage>({
    clock: {
      nowSeconds: () => time.monotonicSeconds(),
      chance: () => 1,
      after: (seconds, task) => time.after(seconds, task),
      every: () => () => undefined,
    },
    open: () => {
      const socket = new TestSocket();
      sockets.push(socket);
      return socket;
    },
    onState: (state) => states.push(state),
    onMessage: (message) => {
      heard.push(message);
      return askAnew();
    },
  });
  const latest = (): TestSocket => {
    const socket = sockets.at(-1);
    if (socket === undefined) throw new Error("no socket was opened");
    return socket;
  };
  return { time, sockets, states, heard, link, latest };
}

describe("the link", () => {
  it("opens once and hands on what it hears", () => {
    const { sockets, states, heard, latest } = rig();
    latest().onopen?.();
    latest().say(snapshot);
    expect(sockets).toHaveLength(1);
    expect(states).toEqual(["connecting", "open"]);
    expect(heard).toEqual([snapshot]);
  });

  it("comes back by itself, each time a little later, never later than 8 s", () => {
    const { time, sockets, latest } = rig();
    const waits: number[] = [];
    for (let attempt = 0; attempt < 8; attempt += 1) {
      const before = sockets.length;
      const since = time.monotonicSeconds();
      latest().onclose?.();
      while (sockets.length === before) time.advance(0.25);
      waits.push(time.monotonicSeconds() - since);
    }
    expect(waits).toEqual([0.5, 1, 2, 4, 8, 8, 8, 8]);
  });

  it("begins with the short wait again after it was well", () => {
    const { time, sockets, latest } = rig();
    for (let attempt = 0; attempt < 5; attempt += 1) {
      latest().onclose?.();
      time.advance(8);
    }
    latest().say(snapshot);
    const before = sockets.length;
    latest().onclose?.();
    time.advance(0.5);
    expect(sockets).toHaveLength(before + 1);
  });

  it("does not believe a connection that has gone silent", () => {
    const { time, sockets, states, latest } = rig();
    latest().onopen?.();
    latest().say(snapshot);
    time.advance(11.9);
    expect(latest().closed).toBe(false);
    const [first] = sockets;
    time.advance(0.2);
    expect(first?.closed).toBe(true);
    expect(states.at(-1)).toBe("waiting");
  });

  it("asks for a fresh snapshot by connecting anew", () => {
    const { time, sockets, latest } = rig(() => true);
    latest().say({ type: "delta", sequence: 9, delta: {} });
    expect(sockets[0]?.closed).toBe(true);
    time.advance(0.5);
    expect(sockets).toHaveLength(2);
  });

  it("passes over what it cannot read", () => {
    const { heard, latest } = rig();
    for (const data of ["{", "null", '{"type":"other"}', 7]) latest().onmessage?.({ data });
    expect(heard).toEqual([]);
  });

  it("hurries when told to, and is quiet for good once closed", () => {
    const { time, sockets, link, latest } = rig();
    latest().onclose?.();
    link.hurry();
    expect(sockets).toHaveLength(2);
    link.hurry();
    expect(sockets).toHaveLength(2);
    link.close();
    time.advance(60);
    link.hurry();
    expect(sockets).toHaveLength(2);
    expect(time.pending).toBe(0);
  });
});

describe("the pause before trying again", () => {
  it("is spread over the upper half of its step", () => {
    expect(backoffSeconds(0, 0)).toBe(0.25);
    expect(backoffSeconds(0, 1)).toBe(0.5);
    expect(backoffSeconds(3, 0.5)).toBe(3);
    for (let attempt = 0; attempt < 2000; attempt += 97) {
      expect(backoffSeconds(attempt, 1)).toBeLessThanOrEqual(8);
      expect(backoffSeconds(attempt, 0)).toBeGreaterThan(0.2);
    }
  });
});
