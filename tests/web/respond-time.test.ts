// How soon an alarm wants its response, said as a person would: the list holds times from seconds to weeks.

import { describe, expect, it } from "vitest";
import { respondTime } from "../../web/alarms/respond-time.ts";
import { figuresFor } from "../../web/figures.ts";
import { loadPreferences } from "../../web/preferences.ts";

const figures = figuresFor(loadPreferences({ getItem: () => null, setItem: () => {} }), "en-GB");

describe("the time for a response", () => {
  it.each([
    [10, "10 s"],
    [90, "90 s"],
    [900, "15 min"],
    [3 * 3600, "3 h 0 min"],
    [86_400, "1 day"],
    [7 * 86_400, "7 days"],
    [30 * 86_400, "4 weeks"],
  ])("of %d s is %s", (seconds, words) => {
    expect(respondTime({ respond_within_seconds: seconds }, figures).replaceAll("\u00a0", " ")).toBe(words);
  });
});
