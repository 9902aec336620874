// One thing that a checkup looked at: what it is, how it is, and what to do when it is not well. Plain data.

export type Verdict = "good" | "warning" | "bad";

export type Finding = {
  readonly what: string;
  readonly place: string;
  readonly verdict: Verdict;
  readonly says: string;
  /** What to do about it; null when it is good. */
  readonly remedy: string | null;
};

export const wellDone = (what: string, place: string, says: string): Finding => ({
  what,
  place,
  verdict: "good",
  says,
  remedy: null,
});

/** A part in trouble, seen at `place`: the trouble's own place is said only where it is another. */
export function troubled(
  what: string,
  place: string,
  trouble: { readonly place: string; readonly words: string; readonly remedy: string },
): Finding {
  const says = trouble.place === place ? trouble.words : `${trouble.place}: ${trouble.words}`;
  return { what, place, verdict: "bad", says, remedy: trouble.remedy };
}
