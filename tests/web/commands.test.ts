// What the operator is told of a command, by the daemon's answer: done, refused in its own words, or silence.

import { describe, expect, it } from "vitest";
import { ask } from "../../web/commands.ts";
import { askHeatRun } from "../../web/heat-run/ask.ts";
import { strings } from "../../web/strings.ts";

const WORDS = strings.confirm;
const PROBLEM = {
  title: "This is not allowed from there",
  status: 403,
  detail: "commands are taken from this machine only",
};
const answering =
  (status: number, body: unknown): typeof fetch =>
  () =>
    Promise.resolve(new Response(JSON.stringify(body), { status }));

describe("the line for the operator", () => {
  it.each([
    [200, { accepted: true, text: "noted" }, { done: true, text: "noted" }],
    [200, { accepted: false, text: "too hot still" }, { done: false, text: WORDS.refused("too hot still") }],
    [403, PROBLEM, { done: false, text: WORDS.refused(PROBLEM.detail) }],
    [502, {}, { done: false, text: WORDS.refused("502") }],
  ])("for %i %j", async (status, body, answer) => {
    expect(await ask(answering(status, body), { kind: "reset" }, WORDS)).toEqual(answer);
  });

  it("of a heat run is the problem's detail", async () => {
    expect(await askHeatRun(answering(403, PROBLEM), { kind: "abort" }, "silence")).toBe(PROBLEM.detail);
    expect(await askHeatRun(() => Promise.reject(new Error("gone")), { kind: "abort" }, "silence")).toBe("silence");
  });
});
