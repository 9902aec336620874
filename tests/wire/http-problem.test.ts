// What a page reads of a problem, whatever came instead of one.

import { describe, expect, it } from "vitest";
import { detailOf } from "../../daemon/wire/http-problem.ts";

describe("the words of a problem", () => {
  it.each([
    [{ title: "Not now", detail: "no cycle yet" }, "no cycle yet"],
    [{ title: "Not now" }, "Not now"],
    [{ detail: 7 }, null],
    [null, null],
    ["no cycle yet", null],
  ])("in %j are %j", (body, words) => {
    expect(detailOf(body)).toBe(words);
  });
});
