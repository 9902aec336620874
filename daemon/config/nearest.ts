// The known word nearest to a mistyped one, so that a problem line can name it. Pure.

/** Edits (insert, delete, replace, swap of neighbours) between two words: Damerau–Levenshtein, optimal string alignment. */
export function editDistance(left: string, right: string): number {
  const rows: number[][] = [Array.from({ length: right.length + 1 }, (_, column) => column)];
  for (let row = 1; row <= left.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= right.length; column += 1) {
      const same = left[row - 1] === right[column - 1];
      const swapped =
        row > 1 && column > 1 && left[row - 1] === right[column - 2] && left[row - 2] === right[column - 1];
      const above = rows[row - 1]!;
      let edits = Math.min(above[column]! + 1, current[column - 1]! + 1, above[column - 1]! + (same ? 0 : 1));
      if (swapped) edits = Math.min(edits, rows[row - 2]![column - 2]! + 1);
      current.push(edits);
    }
    rows.push(current);
  }
  return rows[left.length]![right.length]!;
}

const LONGEST_WORD = 64;

/** The nearest of `known`, or null when even that is more than half of the word away. */
export function nearest(word: string, known: readonly string[]): string | null {
  if (word.length > LONGEST_WORD) return null;
  let best: string | null = null;
  let bestEdits = Math.floor(word.length / 2) + 1;
  for (const candidate of known) {
    const edits = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (edits < bestEdits) [best, bestEdits] = [candidate, edits];
  }
  return best;
}
