// What changed between two frames, and the way back: pure functions shared by the daemon and the page, so that both
// agree by construction. It never decides how often anything is sent.
/** Structural equality of plain data (what JSON can carry). */
function same(left, right) {
  if (left === right) return true;
  if (typeof left !== "object" || typeof right !== "object" || left === null || right === null) return false;
  if (Array.isArray(left) !== Array.isArray(right)) return false;
  const leftKeys = Object.keys(left);
  if (leftKeys.length !== Object.keys(right).length) return false;
  return leftKeys.every((key) => Object.hasOwn(right, key) && same(left[key], right[key]));
}
function diffQuantities(before, after) {
  const changes = {};
  let changed = false;
  for (const name of Object.keys(after)) {
    const quantity = after[name];
    if (quantity !== undefined && !same(before[name], quantity)) {
      changes[name] = quantity;
      changed = true;
    }
  }
  for (const name of Object.keys(before)) {
    if (after[name] === undefined) {
      changes[name] = null;
      changed = true;
    }
  }
  return changed ? changes : null;
}
/** The delta that turns `before` into `after`; empty when nothing changed. */
export function diffFrames(before, after) {
  const changes = {};
  for (const key of Object.keys(after)) {
    if (key !== "quantities" && !same(before[key], after[key])) changes[key] = after[key];
  }
  const quantities = diffQuantities(before.quantities, after.quantities);
  return quantities === null ? changes : { ...changes, quantities };
}
/** The frame that `delta` makes of `before`; neither is changed. */
export function mergeDelta(before, delta) {
  const { quantities: changes, ...rest } = delta;
  if (changes === undefined) return { ...before, ...rest };
  const quantities = { ...before.quantities };
  for (const name of Object.keys(changes)) {
    const quantity = changes[name];
    if (quantity === undefined) continue;
    if (quantity === null) delete quantities[name];
    else quantities[name] = quantity;
  }
  return { ...before, ...rest, quantities };
}
