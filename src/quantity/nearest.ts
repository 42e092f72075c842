/** Longer words are not compared: nobody mis-spells one that long into something short. */
const LONGEST = 64;

/**
 * The candidate that a mis-spelt word most likely meant, or undefined when none is near. One slip
 * (insertion, deletion, exchange, swap of neighbours) is allowed for every three letters, at least one,
 * and never as many as the word has letters. Case counts only between equals, as does the first letter,
 * which people get right; after that the first of equals wins.
 * @see optimal string alignment: F. Damerau, Communications of the ACM 7 (1964), 171–176
 */
export function nearest(word: string, candidates: readonly string[]): string | undefined {
  if (word.length === 0 || word.length > LONGEST) return undefined;
  const wanted = word.toLowerCase();
  const allowed = Math.min(Math.max(1, Math.floor(word.length / 3)), word.length - 1);
  let best: string | undefined;
  let bestRank = Infinity;
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - word.length) > allowed) continue;
    const folded = candidate.toLowerCase();
    const slips = slipsBetween(wanted, folded);
    if (slips > allowed) continue;
    const rank = slips + (wanted[0] === folded[0] ? 0 : 0.5) + slipsBetween(word, candidate) / 1000;
    if (rank < bestRank) {
      best = candidate;
      bestRank = rank;
    }
  }
  return best;
}

function slipsBetween(a: string, b: string): number {
  let beforeLast: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const current = [row];
    for (let column = 1; column <= b.length; column += 1) {
      const same = a[row - 1] === b[column - 1];
      let slips = Math.min(at(last, column) + 1, at(current, column - 1) + 1, at(last, column - 1) + (same ? 0 : 1));
      if (row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]) {
        slips = Math.min(slips, at(beforeLast, column - 2) + 1);
      }
      current.push(slips);
    }
    beforeLast = last;
    last = current;
  }
  return at(last, b.length);
}

function at(row: readonly number[], column: number): number {
  return row[column] ?? Infinity;
}
