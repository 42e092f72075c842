import { appendFileSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';

/** One figure of ours against the same figure from outside the project. */
export interface External {
  /** Title, edition, table or clause. */
  readonly source: string;
  /** The figure in words, with the inputs that fix it: `4 mm² copper, resistance at 20 °C`. Names the row in docs/validation.md. */
  readonly what: string;
  readonly expected: number;
  readonly got: number;
  readonly unit: string;
  /** Allowed deviation as a fraction of the expected value. At least one of `relative` and `absolute` is given; the wider one counts. */
  readonly relative?: number;
  /** Allowed deviation in `unit`. */
  readonly absolute?: number;
  /** `from memory`, `common practice, no source`, or why the tolerance is that wide. */
  readonly note?: string;
}

/** A check with the test that made it; one line of the record. */
export interface ExternalRecord extends External {
  readonly test: string;
  readonly holds: boolean;
}

/**
 * Asserts that our figure lies within max(absolute, relative·|expected|) of the outside one, and records the check,
 * passing or not, for docs/validation.md.
 * @param record  where the check is noted; the tests of this function pass their own
 * @throws TypeError when the check has no source, no name, or no tolerance: it could not be judged
 */
export function external(check: External, record: (entry: ExternalRecord) => void = recordOnDisk): void {
  const allowed = tolerance(check);
  const deviation = Math.abs(check.got - check.expected);
  const holds = deviation <= allowed;
  record({ ...check, test: expect.getState().currentTestName ?? '', holds });
  if (!holds) {
    expect.fail(`${check.what}: expected ${check.expected} ± ${allowed} ${check.unit}, got ${check.got} ${check.unit}`
      + ` (off by ${deviation}; source: ${check.source})`);
  }
}

function tolerance(check: External): number {
  if (check.source.trim() === '' || check.what.trim() === '') throw new TypeError('external check: needs a source and a name');
  if (check.relative === undefined && check.absolute === undefined) throw new TypeError(`external check '${check.what}': needs a tolerance`);
  const { relative: share = 0, absolute = 0 } = check;
  if (!(share >= 0 && absolute >= 0)) throw new TypeError(`external check '${check.what}': a tolerance is at least 0`);
  return Math.max(absolute, share * Math.abs(check.expected));
}

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const records = join(root, 'node_modules', '.cache', 'validation');
const begun = new Set<string>();

/**
 * One file of JSON lines per test file: test files run in processes of their own, so nothing shared is written.
 * Each line is on disk before the assertion can throw. A run starts its file afresh; `npm run validation` empties the folder first.
 */
function recordOnDisk(entry: ExternalRecord): void {
  const testFile = expect.getState().testPath;
  if (testFile === undefined) throw new Error('external() was called outside a test');
  const name = relative(root, testFile).replaceAll(sep, '__');
  const file = join(records, `${name}.jsonl`);
  if (!begun.has(file)) {
    mkdirSync(records, { recursive: true });
    writeFileSync(file, '');
    begun.add(file);
  }
  // JSON has no NaN or infinity: kept as words, so that a failed check still shows what it got.
  appendFileSync(file, `${JSON.stringify(entry, (_key, value: unknown) =>
    typeof value === 'number' && !Number.isFinite(value) ? String(value) : value)}\n`);
}
