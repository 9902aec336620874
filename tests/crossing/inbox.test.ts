// Each command enters one cycle, however often it arrives; who asks again hears the first answer again.

import { describe, expect, it } from "vitest";
import type { Command } from "../../daemon/core/commands.ts";
import { Inbox } from "../../daemon/crossing/inbox.ts";

const note = (id: string): Command => ({ id, by: "operator", from: "127.0.0.1", action: { kind: "note", text: id } });

describe("the inbox", () => {
  it("takes an id once, also after its cycle", () => {
    const inbox = new Inbox();
    expect(inbox.deliver([note("a"), note("a"), note("b")])).toEqual([]);
    expect(inbox.take().map(({ id }) => id)).toEqual(["a", "b"]);
    const answer = { id: "a", accepted: true, text: "noted" };
    inbox.settle([answer]);
    expect(inbox.deliver([note("a")])).toEqual([answer]);
    expect(inbox.take()).toEqual([]);
  });

  it("refuses what finds no room, and takes it when asked again later", () => {
    const inbox = new Inbox();
    const many = Array.from({ length: 65 }, (_, index) => note(`n${index}`));
    expect(inbox.deliver(many)).toEqual([{ id: "n64", accepted: false, text: "too many commands wait already" }]);
    expect(inbox.take()).toHaveLength(64);
    expect(inbox.deliver([note("n64")])).toEqual([]);
    expect(inbox.take().map(({ id }) => id)).toEqual(["n64"]);
  });

  it("forgets the oldest of very many", () => {
    const inbox = new Inbox();
    for (let index = 0; index <= 1000; index += 1) {
      inbox.deliver([note(`n${index}`)]);
      inbox.take();
      inbox.settle([{ id: `n${index}`, accepted: true, text: "noted" }]);
    }
    expect(inbox.deliver([note("n1000")])).toHaveLength(1);
    expect(inbox.deliver([note("n0")])).toEqual([]);
    expect(inbox.take().map(({ id }) => id)).toEqual(["n0"]);
  });
});
