// What the physics refuses to compute, with a stable code: a question outside the data, or a number that cannot be.
// It never guesses an answer instead.

/** Every refusal with the words an operator reads. */
const PHYSICS_ERRORS = {
  OUT_OF_TABLE: "outside the published table",
  OUT_OF_RANGE: "outside the range in which the formula holds",
} as const;

/** A code of the closed list above. */
export type PhysicsErrorCode = keyof typeof PHYSICS_ERRORS;

/** A refused quantity: what it was, between which limits it would have been answered (SI), and what was asked. */
export class PhysicsError extends Error {
  readonly code: PhysicsErrorCode;
  readonly quantity: string;
  readonly low: number;
  readonly high: number;
  readonly asked: number;

  constructor(code: PhysicsErrorCode, quantity: string, low: number, high: number, asked: number) {
    super(`${quantity} ${asked} is ${PHYSICS_ERRORS[code]}: ${low} to ${high}`);
    this.name = "PhysicsError";
    this.code = code;
    this.quantity = quantity;
    this.low = low;
    this.high = high;
    this.asked = asked;
  }
}

/** Returns `value` when it is a number within [low, high], else throws `OUT_OF_RANGE`. */
export function within(quantity: string, value: number, low: number, high: number): number {
  if (!(value >= low && value <= high)) throw new PhysicsError("OUT_OF_RANGE", quantity, low, high, value);
  return value;
}
