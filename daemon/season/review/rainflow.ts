// Thermal cycles counted by rainflow, ASTM E1049-85 section 5.4.4: each closed loop once, the residue as half cycles.
// It counts; it does not say what a cycle costs.

/** `count` is 1 for a closed loop and 0.5 for a half cycle; ranges and means carry the unit of the input. */
export type Cycle = { readonly range: number; readonly mean: number; readonly count: 0.5 | 1 };

/**
 * Cycles of a series of values. Only reversals matter; equal neighbours and points on the way are skipped.
 * Memory is bounded by the reversals that are still open, not by the series.
 */
export function countCycles(values: Iterable<number>): Cycle[] {
  const cycles: Cycle[] = [];
  const open: number[] = [];
  for (const reversal of reversals(values)) {
    open.push(reversal);
    closeLoops(open, cycles);
  }
  for (let index = 1; index < open.length; index += 1) {
    cycles.push(cycleBetween(open[index - 1]!, open[index]!, 0.5));
  }
  return cycles;
}

/** Step 2 to 5 of the standard's procedure on the open reversals, newest last. */
function closeLoops(open: number[], cycles: Cycle[]): void {
  while (open.length >= 3) {
    const newest = open.length - 1;
    const rangeX = Math.abs(open[newest]! - open[newest - 1]!);
    const rangeY = Math.abs(open[newest - 1]! - open[newest - 2]!);
    if (rangeX < rangeY) return;
    if (newest === 2) {
      // Y contains the starting point: half a cycle, and the start moves on.
      cycles.push(cycleBetween(open[0]!, open[1]!, 0.5));
      open.shift();
    } else {
      cycles.push(cycleBetween(open[newest - 2]!, open[newest - 1]!, 1));
      open.splice(newest - 2, 2);
    }
  }
}

function cycleBetween(a: number, b: number, count: 0.5 | 1): Cycle {
  return { range: Math.abs(a - b), mean: (a + b) / 2, count };
}

/** Local peaks and valleys, first and last point included. */
function* reversals(values: Iterable<number>): Generator<number> {
  let last: number | null = null;
  let direction = 0;
  for (const value of values) {
    if (last === null) {
      yield value;
      last = value;
      continue;
    }
    const step = Math.sign(value - last);
    if (step === 0) continue;
    if (direction !== 0 && step !== direction) yield last;
    direction = step;
    last = value;
  }
  if (last !== null && direction !== 0) yield last;
}

/** Cycles summed by range, for a table: edges in the unit of the input, the last class open upwards. */
export function cyclesByRange(
  cycles: readonly Cycle[],
  edges: readonly number[],
): readonly { readonly from: number; readonly to: number | null; readonly count: number }[] {
  return edges.map((from, index) => {
    const to = edges[index + 1] ?? null;
    const inside = cycles.filter(({ range }) => range >= from && (to === null || range < to));
    return { from, to, count: inside.reduce((sum, { count }) => sum + count, 0) };
  });
}
