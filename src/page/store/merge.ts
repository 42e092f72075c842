/** The outcome of joining two edits of one text: the joined lines, or the places where both changed the same lines. */
export type Merged = { readonly clean: true; readonly text: string } | { readonly clean: false };

/**
 * Joins two versions of a text that both come from `base`, line by line: what only one of them changed is taken.
 * Not clean where both changed the same or neighbouring lines in different ways.
 */
export function mergeTexts(base: string, mine: string, theirs: string): Merged {
  if (mine === theirs || base === theirs) return { clean: true, text: mine };
  if (base === mine) return { clean: true, text: theirs };
  const old = base.split('\n');
  const changes = [...changesOf(old, mine.split('\n')).map((change) => ({ ...change, own: true })), ...changesOf(old, theirs.split('\n')).map((change) => ({ ...change, own: false }))]
    .sort((a, b) => a.start - b.start || a.end - b.end);
  const result: string[] = [];
  let at = 0;
  let before: (typeof changes)[number] | undefined;
  for (const change of changes) {
    if (before !== undefined && before.own !== change.own) {
      const same = before.start === change.start && before.end === change.end && before.lines.join('\n') === change.lines.join('\n');
      if (same) continue;
      if (change.start <= before.end) return { clean: false };
    }
    result.push(...old.slice(at, change.start), ...change.lines);
    at = change.end;
    before = change;
  }
  return { clean: true, text: [...result, ...old.slice(at)].join('\n') };
}

/** Lines `start` up to `end` of the old text give way to these. */
interface Change {
  readonly start: number;
  readonly end: number;
  readonly lines: readonly string[];
}

/** Beyond this many lines between the first and the last difference they count as one change. */
const MOST_LINES = 3000;

function changesOf(old: readonly string[], now: readonly string[]): Change[] {
  let head = 0;
  while (head < old.length && head < now.length && old[head] === now[head]) head += 1;
  let tail = 0;
  while (tail < old.length - head && tail < now.length - head && old[old.length - 1 - tail] === now[now.length - 1 - tail]) tail += 1;
  const [a, b] = [old.slice(head, old.length - tail), now.slice(head, now.length - tail)];
  if (a.length === 0 && b.length === 0) return [];
  if (a.length === 0 || b.length === 0 || a.length > MOST_LINES || b.length > MOST_LINES) return [{ start: head, end: head + a.length, lines: b }];
  return common(a, b).map(({ start, end, lines }) => ({ start: start + head, end: end + head, lines }));
}

/** Changes between two lists of lines along their longest common subsequence. */
function common(a: readonly string[], b: readonly string[]): Change[] {
  const width = b.length + 1;
  const longest = new Uint16Array((a.length + 1) * width);
  for (let i = a.length - 1; i >= 0; i -= 1)
    for (let j = b.length - 1; j >= 0; j -= 1)
      longest[i * width + j] = a[i] === b[j] ? longest[(i + 1) * width + j + 1]! + 1 : Math.max(longest[(i + 1) * width + j]!, longest[i * width + j + 1]!);
  const changes: Change[] = [];
  let [i, j, fromA, fromB] = [0, 0, 0, 0];
  const close = (): void => {
    if (i > fromA || j > fromB) changes.push({ start: fromA, end: i, lines: b.slice(fromB, j) });
  };
  while (i < a.length && j < b.length) {
    if (a[i] === b[j]) {
      close();
      [i, j] = [i + 1, j + 1];
      [fromA, fromB] = [i, j];
    } else if (longest[(i + 1) * width + j]! >= longest[i * width + j + 1]!) i += 1;
    else j += 1;
  }
  [i, j] = [a.length, b.length];
  close();
  return changes;
}
