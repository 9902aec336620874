// What changed between two frames, and the way back: pure functions shared by the daemon and the page, so that both
// agree by construction. It never decides how often anything is sent.

import type { Delta, Frame, Quantity, QuantityName } from "./frame.ts";

type Plain = Readonly<Record<string, unknown>>;

/** Structural equality of plain data (what JSON can carry). */
function same(left: unknown, right: unknown): boolean {
  if (left === right) return true;
  if (typeof left !== "object" || typeof right !== "object" || left === null || right === null) return false;
  if (Array.isArray(left) !== Array.isArray(right)) return false;
  const leftKeys = Object.keys(left);
  if (leftKeys.length !== Object.keys(right).length) return false;
  return leftKeys.every((key) => Object.hasOwn(right, key) && same((left as Plain)[key], (right as Plain)[key]));
}

/** Keys of `after` whose values differ from those of `before`. */
export function diffKeys<Shape extends object>(before: Shape, after: Shape): Partial<Shape> {
  const changes: Partial<Shape> = {};
  for (const key of Object.keys(after) as (keyof Shape)[])
    if (!same(before[key], after[key])) changes[key] = after[key];
  return changes;
}

type Quantities = Frame["quantities"];
type QuantityChanges = { [name in QuantityName]?: Quantity | null };

function diffQuantities(before: Quantities, after: Quantities): QuantityChanges | null {
  const changes: QuantityChanges = {};
  let changed = false;
  for (const name of Object.keys(after) as QuantityName[]) {
    const quantity = after[name];
    if (quantity !== undefined && !same(before[name], quantity)) {
      changes[name] = quantity;
      changed = true;
    }
  }
  for (const name of Object.keys(before) as QuantityName[]) {
    if (after[name] === undefined) {
      changes[name] = null;
      changed = true;
    }
  }
  return changed ? changes : null;
}

/** The delta that turns `before` into `after`; empty when nothing changed. */
export function diffFrames(before: Frame, after: Frame): Delta {
  const { quantities: _, ...changes } = diffKeys(before, after);
  const quantities = diffQuantities(before.quantities, after.quantities);
  return quantities === null ? changes : { ...changes, quantities };
}

/** The frame that `delta` makes of `before`; neither is changed. */
export function mergeDelta(before: Frame, delta: Delta): Frame {
  const { quantities: changes, ...rest } = delta;
  if (changes === undefined) return { ...before, ...rest };
  const quantities: { [name in QuantityName]?: Quantity } = { ...before.quantities };
  for (const name of Object.keys(changes) as QuantityName[]) {
    const quantity = changes[name];
    if (quantity === undefined) continue;
    if (quantity === null) delete quantities[name];
    else quantities[name] = quantity;
  }
  return { ...before, ...rest, quantities };
}
