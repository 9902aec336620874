// How the heartbeat takes leave of its service thread, with a real worker that takes its time: the last words arrive before it
// is told to stop, and one that never answers is ended all the same.

import { describe, expect, it, vi } from "vitest";
import { ServiceThread } from "../../daemon/crossing/thread.ts";
import { plainEntry } from "../support/beat.ts";
import { ManualClock } from "../support/manual-clock.ts";

const LOG = `{ acceptedRow: 0, acceptedEntry: taken, persistedRow: 0, persistedEntry: taken, writable: true, trouble: null, diskFreeRatio: null }`;

/** Says of each message what it was; gives the first receipt only when the heartbeat has asked for `go`. */
const worker = (answers: boolean): URL =>
  new URL(
    `data:text/javascript,${encodeURIComponent(`
      import { parentPort } from "node:worker_threads";
      let taken = 0;
      const go = new BroadcastChannel("emberwire-test-go");
      const heard = new BroadcastChannel("emberwire-test-heard");
      const held = [];
      const receive = (message) => {
        if (message.kind === "stop") {
          heard.postMessage("stop");
          parentPort.postMessage({ kind: "stopped" });
          return;
        }
        for (const { number, tag } of message.entries) { taken = number; heard.postMessage(tag); }
        parentPort.postMessage({ kind: "receipt", number: message.number, log: ${LOG} });
      };
      let open = false;
      go.onmessage = () => { open = true; for (const message of held.splice(0)) receive(message); };
      parentPort.on("message", (message) => {
        if (!${answers}) return;
        if (open) receive(message); else held.push(message);
      });
      parentPort.postMessage({ kind: "ready", address: "nowhere", left: { text: null, trouble: null }, log: ${LOG} });
    `)}`,
  );

const publication = (number: number, tag: string) => ({
  beat: null,
  entries: [{ ...plainEntry(number), tag }],
  checkpoint: null,
  answers: [],
});

const opened = async (answers: boolean) => {
  const clock = new ManualClock();
  const thread = new ServiceThread({
    entry: worker(answers),
    workerData: null,
    clock,
    onTrouble: () => {},
    onNote: () => {},
    onCommands: () => {},
    onRehearse: () => {},
    onRig: () => {},
  });
  await thread.open();
  return { clock, thread };
};

describe("the end of the service thread", () => {
  it("comes after the last words, also when a parcel was under way", async () => {
    const go = new BroadcastChannel("emberwire-test-go");
    const ear = new BroadcastChannel("emberwire-test-heard");
    const heard: unknown[] = [];
    ear.onmessage = (message) => heard.push((message as MessageEvent).data);
    const { thread } = await opened(true);
    thread.publish(publication(1, "first"));
    thread.publish(publication(2, "tripped"));
    thread.publish(publication(3, "stopped"));
    const closed = thread.close();
    go.postMessage("go");
    await closed;
    await vi.waitFor(() => expect(heard).toEqual(["first", "tripped", "stopped", "stop"]), { timeout: 20_000 });
    go.close();
    ear.close();
  });

  it("comes by itself when it never gives a receipt", async () => {
    const { clock, thread } = await opened(false);
    thread.publish(publication(1, "first"));
    const closed = thread.close();
    await clock.advanceAsync(5);
    await expect(closed).resolves.toBeUndefined();
  });
});
