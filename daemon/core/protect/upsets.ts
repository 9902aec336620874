// Sensor errors while transmitting against errors while receiving: the operator's EMC instrument.
// Two fading counts and two fading times; it judges nothing.

/** Counts and times fade together, so that a rate is of the last quarter of an hour or so. */
export type Upsets = {
  readonly transmittingErrors: number;
  readonly transmittingSeconds: number;
  readonly receivingErrors: number;
  readonly receivingSeconds: number;
  readonly lastTransmitting: number;
  readonly lastReceiving: number;
  readonly atSeconds: number;
};

const FADE_SECONDS = 900;

/** Begins at the counters' present values: what happened before is not known by time. */
export function beginUpsets(transmitting: number, receiving: number, nowSeconds: number): Upsets {
  return {
    transmittingErrors: 0,
    transmittingSeconds: 0,
    receivingErrors: 0,
    receivingSeconds: 0,
    lastTransmitting: transmitting,
    lastReceiving: receiving,
    atSeconds: nowSeconds,
  };
}

/** One cycle later; `transmitting` null = not known, the time then counts for neither. */
export function advanceUpsets(
  upsets: Upsets,
  transmittingErrors: number,
  receivingErrors: number,
  transmitting: boolean | null,
  nowSeconds: number,
): Upsets {
  const elapsed = Math.max(nowSeconds - upsets.atSeconds, 0);
  const fade = FADE_SECONDS / (FADE_SECONDS + elapsed);
  // A counter that went back was restarted.
  const newTransmitting = Math.max(transmittingErrors - upsets.lastTransmitting, 0);
  const newReceiving = Math.max(receivingErrors - upsets.lastReceiving, 0);
  return {
    transmittingErrors: upsets.transmittingErrors * fade + newTransmitting,
    transmittingSeconds: upsets.transmittingSeconds * fade + (transmitting === true ? elapsed : 0),
    receivingErrors: upsets.receivingErrors * fade + newReceiving,
    receivingSeconds: upsets.receivingSeconds * fade + (transmitting === false ? elapsed : 0),
    lastTransmitting: transmittingErrors,
    lastReceiving: receivingErrors,
    atSeconds: nowSeconds,
  };
}

/** Errors per minute; over at least a minute, so that one error in a short over is no rate. */
export function upsetsPerMinute(upsets: Upsets): { readonly transmitting: number; readonly receiving: number } {
  return {
    transmitting: (60 * upsets.transmittingErrors) / Math.max(upsets.transmittingSeconds, 60),
    receiving: (60 * upsets.receivingErrors) / Math.max(upsets.receivingSeconds, 60),
  };
}
