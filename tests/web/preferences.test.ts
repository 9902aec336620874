// The reader's choices come back as they were left; anything else on the shelf becomes the default, one choice at a time.

import { describe, expect, it } from "vitest";
import {
  CHOICE_NAMES,
  CHOICES,
  DEFAULT_PREFERENCES,
  loadPreferences,
  type Preferences,
  parsePreferences,
  resolveLook,
  savePreferences,
} from "../../web/preferences.ts";

describe("preferences", () => {
  it("survive the shelf, every choice of them", () => {
    const kept = new Map<string, string>();
    const shelf = {
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => void kept.set(key, value),
    };
    for (const name of CHOICE_NAMES) {
      for (const value of CHOICES[name]) {
        const chosen = { ...DEFAULT_PREFERENCES, [name]: value } as Preferences;
        savePreferences(shelf, chosen);
        expect(loadPreferences(shelf)).toEqual(chosen);
      }
    }
  });

  it("fall back one by one", () => {
    expect(parsePreferences('{"look":"night","temperature":"kelvin","other":1}')).toEqual({
      ...DEFAULT_PREFERENCES,
      look: "night",
    });
    for (const text of [null, "", "{", "[]", "null", "7"]) expect(parsePreferences(text)).toEqual(DEFAULT_PREFERENCES);
  });

  it("work where the browser refuses to store", () => {
    const refuse = () => {
      throw new Error("refused");
    };
    const shelf = { getItem: refuse, setItem: refuse };
    expect(loadPreferences(shelf)).toEqual(DEFAULT_PREFERENCES);
    expect(() => savePreferences(shelf, DEFAULT_PREFERENCES)).not.toThrow();
  });

  it("follow the system only where asked", () => {
    expect(resolveLook(DEFAULT_PREFERENCES, true)).toBe("dark");
    expect(resolveLook(DEFAULT_PREFERENCES, false)).toBe("light");
    expect(resolveLook({ ...DEFAULT_PREFERENCES, look: "night" }, false)).toBe("night");
  });
});
