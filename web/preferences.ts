// What the reader chose: units, clock, look, size, motion. Kept in this browser only; anything unreadable falls back to
// the default of that one choice. It never travels to the daemon.

export const CHOICES = {
  temperature: ["celsius", "fahrenheit"],
  airflow: ["litres per second", "cubic feet per minute"],
  clock: ["local", "utc"],
  look: ["system", "light", "dark", "night"],
  size: ["desk", "room"],
  motion: ["moving", "still"],
} as const;

export type ChoiceName = keyof typeof CHOICES;
export type Preferences = { readonly [name in ChoiceName]: (typeof CHOICES)[name][number] };
export type Look = "light" | "dark" | "night";

export const CHOICE_NAMES = Object.keys(CHOICES) as readonly ChoiceName[];

export const DEFAULT_PREFERENCES: Preferences = {
  temperature: "celsius",
  airflow: "litres per second",
  clock: "local",
  look: "system",
  size: "desk",
  motion: "moving",
};

/** The part of `Storage` that is needed here. */
export type Shelf = {
  readonly getItem: (key: string) => string | null;
  readonly setItem: (key: string, value: string) => void;
};

const KEY = "emberwire.preferences";

/** Preferences out of stored text; each choice that is missing or unknown becomes its default. */
export function parsePreferences(text: string | null): Preferences {
  let stored: unknown = null;
  try {
    stored = text === null ? null : JSON.parse(text);
  } catch {
    stored = null;
  }
  if (typeof stored !== "object" || stored === null) return DEFAULT_PREFERENCES;
  const chosen = stored as Readonly<Record<string, unknown>>;
  const known = CHOICE_NAMES.filter((name) => (CHOICES[name] as readonly unknown[]).includes(chosen[name]));
  return { ...DEFAULT_PREFERENCES, ...Object.fromEntries(known.map((name) => [name, chosen[name]])) };
}

/** Reads the shelf; a browser that refuses storage gets the defaults. */
export function loadPreferences(shelf: Shelf): Preferences {
  try {
    return parsePreferences(shelf.getItem(KEY));
  } catch {
    return DEFAULT_PREFERENCES;
  }
}

/** Writes the shelf; where storage is refused or full the choice lasts as long as the page. */
export function savePreferences(shelf: Shelf, preferences: Preferences): void {
  try {
    shelf.setItem(KEY, JSON.stringify(preferences));
  } catch {
    // Nothing to save it in: the reader still has the choice until the page closes.
  }
}

/** The look to draw in, with `system` resolved by what the browser says it prefers. */
export function resolveLook(preferences: Preferences, systemIsDark: boolean): Look {
  if (preferences.look !== "system") return preferences.look;
  return systemIsDark ? "dark" : "light";
}
