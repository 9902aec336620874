// What is sent to a person who is not looking at the page. Plain data; it knows no channel and decides nothing.

export type NoticePriority = "high" | "medium" | "low";

/** One thing to tell. `text` is a whole sentence; `atSeconds` is monotonic, `wallSeconds` Unix time. */
export type Notice = {
  /** Alarm tag, `POWER_STAGE`, or `TEST`. A newer notice of the same tag replaces an undelivered older one. */
  readonly tag: string;
  readonly priority: NoticePriority;
  readonly kind: "raised" | "still unacknowledged" | "cleared" | "stage" | "test";
  readonly text: string;
  readonly atSeconds: number;
  readonly wallSeconds: number;
  readonly wallTrusted: boolean;
};

/** A letter: the notices that go out together, and how many were merged away by the rate limit. */
export type Letter = {
  readonly feedpoint: string;
  readonly simulated: boolean;
  readonly notices: readonly Notice[];
  readonly replaced: number;
};

/** A way out. `deliver` rejects when the far side did not take the letter, and gives up when `signal` aborts. */
export interface Channel {
  readonly name: string;
  deliver(letter: Letter, signal: AbortSignal): Promise<void>;
}

/** A subject line of at most one line: feedpoint, worst first. */
export function subjectOf(letter: Letter): string {
  const first = letter.notices[0];
  const more = letter.notices.length - 1;
  const tail = more > 0 ? ` (and ${more} more)` : "";
  const mark = letter.simulated ? "[simulated] " : "";
  return `${mark}${letter.feedpoint}: ${first?.text ?? "nothing to report"}${tail}`.replaceAll(/[\r\n]+/g, " ");
}

/** The whole letter as plain text; times are UTC, and said to be doubtful when the clock is. */
export function textOf(letter: Letter): string {
  const lines = letter.notices.map((notice) => {
    const time = new Date(notice.wallSeconds * 1000).toISOString().replace(/\.\d+Z$/, "Z");
    const doubt = notice.wallTrusted ? "" : " (clock not trusted)";
    return `${time}${doubt}  ${notice.priority} ${notice.tag}, ${notice.kind}: ${notice.text}`;
  });
  const merged =
    letter.replaced > 0 ? [`${letter.replaced} earlier notices were replaced by newer ones of the same kind.`] : [];
  const simulated = letter.simulated ? ["This is a simulated feedpoint. Nothing real happened."] : [];
  return [...simulated, ...lines, ...merged, ""].join("\n");
}
