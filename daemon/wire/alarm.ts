// The rationalised alarm list and the record as they travel to the page. A leaf that imports nothing.

/** The fixed words of one alarm; its state travels in the frame under the same tag. */
export type AlarmRow = {
  readonly tag: string;
  readonly priority: "high" | "medium" | "low";
  /** When it comes, in words with the setpoint. */
  readonly comes: string;
  readonly latched: boolean;
  readonly cause: string;
  readonly consequence: string;
  readonly response: string;
  readonly respond_within_seconds: number;
};

export type RecordKind = "alarm" | "stage" | "command" | "event" | "note" | "proof test";
export const RECORD_KINDS: readonly RecordKind[] = ["alarm", "stage", "command", "event", "note", "proof test"];

/** One line of the permanent record; `id` rises with each line entered. */
export type RecordLine = {
  readonly id: number;
  readonly wall_seconds: number;
  readonly wall_trusted: boolean;
  readonly kind: RecordKind;
  readonly tag: string;
  readonly text: string;
  readonly by: string | null;
};

/** Newest first; `before` asks for the lines before these, null when there are none. */
export type RecordPage = { readonly lines: readonly RecordLine[]; readonly before: number | null };

export const MOST_RECORD_LINES = 200;
