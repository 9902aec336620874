// What an operator may ask of the running program: plain data that enters step() with the readings. Types only.

export type Action =
  | { readonly kind: "reset" }
  | { readonly kind: "acknowledge"; readonly tag: string; readonly comment?: string }
  | { readonly kind: "shelve"; readonly tag: string; readonly seconds: number; readonly comment?: string }
  | { readonly kind: "unshelve"; readonly tag: string }
  | { readonly kind: "out of service"; readonly tag: string; readonly comment: string }
  | { readonly kind: "return to service"; readonly tag: string }
  | { readonly kind: "bypass"; readonly seconds: number; readonly comment: string }
  | { readonly kind: "end bypass" }
  | { readonly kind: "fan off on purpose"; readonly seconds: number }
  | { readonly kind: "fan on again" }
  /** Forgets the learned speed of the old fan. */
  | { readonly kind: "fan replaced" }
  | { readonly kind: "spot reading"; readonly celsius: number; readonly secondsAgo: number }
  | { readonly kind: "proof test"; readonly step: "begin" | "confirm released" | "confirm permitted" | "abandon" }
  | { readonly kind: "note"; readonly text: string };

/** A request with its origin, which goes into the record. */
export type Command = {
  readonly id: string;
  readonly by: string;
  readonly from: string;
  readonly action: Action;
};

/** What became of a command, for the one who asked. */
export type Answer = {
  readonly id: string;
  readonly accepted: boolean;
  /** What was done, or why it was refused. */
  readonly text: string;
};
