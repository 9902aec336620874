// What the page knows, as one value, and the pure reducer that moves it on: messages in, model out. It never touches the
// socket, the clock or the document.

import { mergeDelta } from "../daemon/wire/delta.ts";
import type { About, Frame, ServerMessage } from "../daemon/wire/frame.ts";

/** `connecting`: being tried; `open`: data may flow; `waiting`: will be tried again by itself. */
export type LinkState = "connecting" | "open" | "waiting";

export type Model = {
  readonly link: LinkState;
  readonly about: About | null;
  readonly frame: Frame | null;
  /** Sequence number of the last message taken in; null until a snapshot came on this connection. */
  readonly sequence: number | null;
  /** When the frame last moved on, on the page's own monotonic clock, s. */
  readonly freshAtSeconds: number | null;
  /** True when a message was missed: the picture is not to be trusted until the next snapshot. */
  readonly gap: boolean;
};

export type Happening =
  | { readonly kind: "link"; readonly state: LinkState }
  | { readonly kind: "message"; readonly message: ServerMessage; readonly atSeconds: number };

export const EMPTY_MODEL: Model = {
  link: "connecting",
  about: null,
  frame: null,
  sequence: null,
  freshAtSeconds: null,
  gap: false,
};

/** From here on the numbers are grey and say their age, s. */
const STALE_SECONDS = 3;
/** From here on the sentence says that there are no data, s. */
const SILENT_SECONDS = 10;

export type Freshness = "never" | "fresh" | "stale" | "silent";

/** How far the data are to be believed by their age alone. */
export function freshness(ageSeconds: number | null): Freshness {
  if (ageSeconds === null) return "never";
  if (ageSeconds > SILENT_SECONDS) return "silent";
  return ageSeconds > STALE_SECONDS ? "stale" : "fresh";
}

/** Age of the frame, s; null before the first. */
export function ageSeconds(model: Model, nowSeconds: number): number | null {
  return model.freshAtSeconds === null ? null : Math.max(0, nowSeconds - model.freshAtSeconds);
}

/** A repeated frame does not make the data younger: only the daemon's clock moving on does. */
function freshAt(model: Model, next: Frame, sameRun: boolean, atSeconds: number): number {
  const unmoved = sameRun && model.frame !== null && model.frame.at_seconds === next.at_seconds;
  return unmoved && model.freshAtSeconds !== null ? model.freshAtSeconds : atSeconds;
}

function takeMessage(model: Model, message: ServerMessage, atSeconds: number): Model {
  if (message.type === "snapshot") {
    const sameRun = model.about !== null && model.about.boot_id === message.about.boot_id;
    return {
      ...model,
      about: message.about,
      frame: message.frame,
      sequence: message.sequence,
      freshAtSeconds: freshAt(model, message.frame, sameRun, atSeconds),
      gap: false,
    };
  }
  if (model.frame === null || model.sequence === null || message.sequence !== model.sequence + 1) {
    return { ...model, sequence: null, gap: true };
  }
  const frame = mergeDelta(model.frame, message.delta);
  return { ...model, frame, sequence: message.sequence, freshAtSeconds: freshAt(model, frame, true, atSeconds) };
}

/** The model after `happening`; a gap in the sequence sets `gap`, and the frame stays as it was until a snapshot. */
export function reduce(model: Model, happening: Happening): Model {
  if (happening.kind === "message") return takeMessage(model, happening.message, happening.atSeconds);
  // A sequence belongs to its connection; the last frame stays and grows old in plain sight.
  return { ...model, link: happening.state, sequence: null, gap: false };
}
