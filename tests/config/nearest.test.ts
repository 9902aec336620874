// The nearest known word: distances as published for the optimal string alignment distance.

import { describe, expect, it } from "vitest";
import { editDistance, nearest } from "../../daemon/config/nearest.ts";

describe("edit distance", () => {
  // "kitten" to "sitting" is the usual worked example of the Levenshtein distance; "ca" to "abc" is 3 by optimal string
  // alignment and 2 by the unrestricted form (both from memory of the textbook cases).
  it.each([
    ["kitten", "sitting", 3],
    ["ca", "abc", 3],
    ["core", "croe", 1],
    ["", "abc", 3],
    ["same", "same", 0],
  ])("%s to %s is %i", (left, right, edits) => {
    expect(editDistance(left, right)).toBe(edits);
    expect(editDistance(right, left)).toBe(edits);
  });
});

describe("the nearest word", () => {
  it("is named when it is near, and not when nothing is", () => {
    expect(nearest("adress", ["name", "address", "bus"])).toBe("address");
    expect(nearest("zzzz", ["name", "address", "bus"])).toBeNull();
    expect(nearest("x".repeat(1000), ["name"])).toBeNull();
  });
});
