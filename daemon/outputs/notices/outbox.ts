// What one channel still has to deliver: pure. Newest wins per tag, so it is bounded by the alarm list;
// a failed delivery waits longer each time; a busy night is merged into fewer letters, never dropped.

import type { Notice } from "./notice.ts";

export type OutboxSettings = {
  /** Letters per hour at most; beyond that notices wait and are merged. */
  readonly lettersPerHour: number;
  readonly firstRetrySeconds: number;
  readonly longestRetrySeconds: number;
};

export type OutboxState = {
  readonly waiting: ReadonlyMap<string, Notice>;
  readonly replaced: number;
  /** When the last letters went out, oldest first; never more than `lettersPerHour`. */
  readonly sentAtSeconds: readonly number[];
  readonly failures: number;
  readonly notBeforeSeconds: number;
  readonly lastError: string | null;
  readonly lastDeliveredAtSeconds: number | null;
};

const HOUR_SECONDS = 3600;

export const EMPTY_OUTBOX: OutboxState = {
  waiting: new Map(),
  replaced: 0,
  sentAtSeconds: [],
  failures: 0,
  notBeforeSeconds: 0,
  lastError: null,
  lastDeliveredAtSeconds: null,
};

/** The outbox with these notices waiting; an undelivered older notice of the same tag gives way. */
export function enqueue(outbox: OutboxState, notices: readonly Notice[]): OutboxState {
  if (notices.length === 0) return outbox;
  const waiting = new Map(outbox.waiting);
  let replaced = outbox.replaced;
  for (const notice of notices) {
    if (waiting.delete(notice.tag)) replaced += 1;
    waiting.set(notice.tag, notice);
  }
  return { ...outbox, waiting, replaced };
}

/** Monotonic second from which a letter may go out; null when nothing waits. */
export function dueAtSeconds(settings: OutboxSettings, outbox: OutboxState): number | null {
  if (outbox.waiting.size === 0) return null;
  const full = outbox.sentAtSeconds.length >= settings.lettersPerHour;
  const oldest = outbox.sentAtSeconds[0];
  const allowance = full && oldest !== undefined ? oldest + HOUR_SECONDS : 0;
  return Math.max(allowance, outbox.notBeforeSeconds);
}

/** After a letter holding `delivered` was taken. What was replaced meanwhile stays waiting. */
export function afterDelivery(
  settings: OutboxSettings,
  outbox: OutboxState,
  delivered: readonly Notice[],
  replacedTold: number,
  nowSeconds: number,
): OutboxState {
  const waiting = new Map(outbox.waiting);
  for (const notice of delivered) if (waiting.get(notice.tag) === notice) waiting.delete(notice.tag);
  return {
    waiting,
    replaced: outbox.replaced - replacedTold,
    sentAtSeconds: [...outbox.sentAtSeconds, nowSeconds].slice(-settings.lettersPerHour),
    failures: 0,
    notBeforeSeconds: 0,
    lastError: null,
    lastDeliveredAtSeconds: nowSeconds,
  };
}

/** After a refusal: nothing is lost, and the next try waits twice as long, within the bound. */
export function afterFailure(
  settings: OutboxSettings,
  outbox: OutboxState,
  error: string,
  nowSeconds: number,
): OutboxState {
  const wait = Math.min(settings.firstRetrySeconds * 2 ** outbox.failures, settings.longestRetrySeconds);
  return {
    ...outbox,
    failures: outbox.failures + 1,
    notBeforeSeconds: nowSeconds + wait,
    lastError: error.slice(0, 300),
  };
}
