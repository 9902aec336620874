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
