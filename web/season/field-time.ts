// Times as a `datetime-local` field of HTML writes them, `2026-07-14T08:00`, at the reader's offset from UTC. Pure.

const FIELD = /^(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d)(?::\d\d(?:\.\d+)?)?$/;

/** Unix seconds as the field's text, to the minute. */
export const toField = (unixSeconds: number, offsetSeconds: number): string =>
  new Date((unixSeconds + offsetSeconds) * 1000).toISOString().slice(0, 16);

/** The field's text as Unix seconds; null when it names no minute that there is. */
export function fromField(text: string, offsetSeconds: number): number | null {
  if (!FIELD.test(text)) return null;
  const seconds = Date.parse(`${text.slice(0, 16)}:00Z`) / 1000;
  // 30 February would be taken for 2 March.
  return !Number.isNaN(seconds) && toField(seconds, 0) === text.slice(0, 16) ? seconds - offsetSeconds : null;
}
