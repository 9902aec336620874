// Sends the record, line by line and in order, from the season log itself: the log is the buffer, so that an outage of the broker
// costs no memory and a restart of the daemon no line. A line counts as sent when the broker has acknowledged it.

import type { LoggedLine } from "../../season/record-page.ts";
import type { Bookmark } from "./bookmark.ts";
import type { Session } from "./broker-link.ts";
import type { SentLine } from "./topics.ts";
import { isRefusal } from "./trouble.ts";

/** The log's end of it. Each throws while the log cannot be read. */
export type RecordSource = {
  /** Lines with an id above, oldest first. */
  readonly after: (id: number, most: number) => readonly LoggedLine[];
  /** The newest lines, newest first. */
  readonly recent: (most: number) => readonly LoggedLine[];
  /** Id of the newest line, 0 when there is none; that of earlier runs only where they are asked for. */
  readonly newest: (earlierRunsOnly: boolean) => number;
  readonly count: (afterId: number) => number;
};

export type RecordLaneOptions = {
  readonly source: RecordSource;
  readonly bookmark: Bookmark;
  readonly topic: string;
  /** The newest lines changed. */
  readonly onRecent: (lines: readonly LoggedLine[]) => void;
  /** The broker refused a line while the session stood. */
  readonly onRefused: (error: unknown) => void;
};

/** Lines under way at once; so many at most arrive twice when a session breaks. */
const BATCH = 32;
const RECENT = 32;

export class RecordLane {
  readonly #options: RecordLaneOptions;
  #session: Session | null = null;
  #running: Promise<void> | null = null;
  #again = false;
  #newestTold: number | null = null;
  #sent = 0;

  constructor(options: RecordLaneOptions) {
    this.#options = options;
  }

  /** Lines acknowledged since the start. */
  get sent(): number {
    return this.#sent;
  }

  /** Lines that wait for the broker; null while the log cannot be read. */
  get waiting(): number | null {
    try {
      return this.#options.source.count(this.#begin());
    } catch {
      return null;
    }
  }

  open(session: Session): void {
    this.#session = session;
    this.look();
  }

  close(): void {
    this.#session = null;
  }

  /** Resolves when nothing is under way. */
  async settled(): Promise<void> {
    await this.#running;
  }

  /** Sends what is new in the log. */
  look(): void {
    this.#tellRecent();
    const session = this.#session;
    if (session === null) return;
    this.#again = this.#running !== null;
    if (this.#again) return;
    this.#running = this.#send(session).finally(() => {
      this.#running = null;
      // Lines came meanwhile, or another session opened while this one's last batch was given up.
      if (this.#again || (this.#session !== null && this.#session !== session)) this.look();
    });
  }

  /** Where to go on from; a log that was replaced by an older one is followed from its end. */
  #begin(): number {
    const { source, bookmark } = this.#options;
    // Before the first time only this run is sent, not the years before anybody listened.
    const id = Math.min(bookmark.id ?? source.newest(true), source.newest(false));
    bookmark.move(id);
    return id;
  }

  async #send(session: Session): Promise<void> {
    const { source, bookmark, topic, onRefused } = this.#options;
    try {
      for (;;) {
        const from = this.#begin();
        const lines = source.after(from, BATCH);
        const last = lines.at(-1);
        if (last === undefined || this.#session !== session) return;
        await Promise.all(
          lines.map((line, index) => {
            const sent: SentLine = { ...line, previous: lines[index - 1]?.id ?? from };
            return session.publish({ topic, text: JSON.stringify(sent), retain: false, expirySeconds: null });
          }),
        );
        this.#sent += lines.length;
        bookmark.move(last.id);
      }
    } catch (error) {
      // A session that is over, or a log that cannot be read now: nothing was counted as sent, and it is tried again.
      if (this.#session === session && isRefusal(error)) onRefused(error);
    }
  }

  #tellRecent(): void {
    const { source, onRecent } = this.#options;
    try {
      const newest = source.newest(false);
      if (newest === this.#newestTold) return;
      onRecent(source.recent(RECENT));
      this.#newestTold = newest;
    } catch {
      // The log cannot be read now; the next look tries again.
    }
  }
}
