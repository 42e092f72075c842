import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { editMachine } from '../../../src/machine/file/edit.ts';
import { fingerprint } from '../../../src/machine/file/fingerprint.ts';
import { formatIssue } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { processorTime_ms } from '../../processor-time.ts';
import { BENCH, DEMOS, fileText } from './demos.ts';
import { mutate, mutation, TOKENS } from './mutate.ts';

/** Gives a machine, or named issues with a place in the file, and comes back in time. */
function holdsUp(text: string, within_ms: number): void {
  const started = processorTime_ms();
  const result = readMachine(text);
  const spent_ms = processorTime_ms() - started;
  const issues = result.ok ? result.questions : result.issues;
  if (!result.ok) expect(issues.length).toBeGreaterThan(0);
  for (const issue of issues) {
    expect(issue.line).toBeGreaterThanOrEqual(1);
    expect(issue.column).toBeGreaterThanOrEqual(1);
    expect(issue.expected).not.toBe('');
    expect(issue.found).not.toBe('');
    const written = formatIssue(issue, 'x.yaml');
    expect(written).not.toMatch(/[\p{Cc}\p{Cf}]/u);
    expect(issue.expected).not.toMatch(/undefined|NaN|\[object/);
    expect(written.length).toBeLessThan(4000);
  }
  expect(spent_ms).toBeLessThan(within_ms);
}

const CHARS = 250_000;
const fill = (piece: string) => piece.repeat(Math.floor(CHARS / piece.length));

describe('a hostile file', () => {
  // A second leaves room for a slow machine; each takes a fraction of it here.
  it.each([
    ['nothing', ''], ['spaces', fill(' ')], ['empty lines', fill('\n')], ['comments', fill('#\n')],
    ['open brackets', fill('[')], ['open braces', fill('{a: ')], ['closed brackets', fill(']')], ['nested lists', fill('- ')], ['nested keys', fill('? ')],
    ['a staircase', Array.from({ length: 700 }, (_, k) => `${' '.repeat(k)}a:`).join('\n')],
    ['anchors', fill('&a ')], ['aliases', fill('*a ')], ['tags', fill('!!js/function ')], ['documents', fill('---\n')], ['directives', fill('%a\n')],
    ['quotation marks', fill('"')], ['escapes', fill('"\\x')], ['braces', fill('{}')], ['colons', fill(': ')], ['one long word', fill('a')],
    ['a long text', `about: |\n  ${fill('x')}`], ['one list', fill('- a\n')], ['many keys', Array.from({ length: 9000 }, (_, k) => `k${k}: v`).join('\n')],
    ['the same key', fill('a: b\n')], ['half characters', fill('\uD800')], ['marks of order', `machine: ${fill('\u202E')}`],
    ['expanding aliases', 'a: &a [x,x]\nb: &b [*a,*a]\nc: &c [*b,*b]\nd: [*c,*c]\n'],
  ])('of %s is refused with issues, soon', (_what, text) => {
    expect(readMachine(text).ok).toBe(false);
    holdsUp(text, 1000);
  });

  it.each([
    ['parts', BENCH.replace('parts:\n', `parts:\n${Array.from({ length: 501 }, (_, k) => `  X${k}0: { kind: joint }\n`).join('')}`), 'expected at most 500 parts, found 511'],
    ['chains', BENCH.replace('wiring:\n', `wiring:\n${Array.from({ length: 1001 }, (_, k) => `  c${k}: from bar, to T1\n`).join('')}`), 'expected at most 1000 chains, found 1006'],
    ['steps', BENCH + '  - wait 1 s\n'.repeat(201), 'expected at most 200 steps, found 205'],
    ['characters in a text', BENCH.replace('BENCH', 'B'.repeat(4001)), 'expected a text of at most 4000 characters, found 4001 characters'],
    ['nesting', BENCH.replace('kind: fuse', 'kind: [[[[[[[[fuse]]]]]]]]'), 'expected at most 8 lists and mappings inside each other, found more'],
    ['kilobytes', fill('a').repeat(40), 'expected a file of at most 256 kB, found 10000000 characters'],
  ])('with too many %s is told the limit', (_what, text, message) => {
    const result = readMachine(text);
    expect(result.ok ? [] : result.issues.map((issue) => formatIssue(issue, 'x.yaml')).join('\n')).toContain(message);
    holdsUp(text, 1000);
  });

  it('of full size with 500 parts and 1,000 long chains is read soon', () => {
    const text = `ampwright: 1\nmachine: BIG\nparts:\n  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 3 Ah }\n`
      + Array.from({ length: 499 }, (_, k) => `  T${k}: { kind: lamp, resistance: 8.2 kΩ }\n`).join('')
      + `wiring:\n${Array.from({ length: 499 }, (_, k) => `  c${k}: from G1+, ${'8 AWG 0.5 m tied red, '.repeat(9)}to T${k}\n`).join('')}`
      + 'returns: all negatives on one bar\n';
    expect(readMachine(text).ok).toBe(true);
    holdsUp(text, 2000);
  });

  it('is refused at once when it is ten megabytes long', () => {
    holdsUp('a: b\n'.repeat(2_000_000), 50);
  });

  it('does not reach the objects of the program', () => {
    const result = readMachine(BENCH.replace('F1: {', '"__proto__": { polluted: 1 }\n  F1: {').replace('kind: fuse', '__proto__: 1, kind: fuse'));
    expect(result.ok).toBe(false);
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });
});

const SEED = 20261125;
const RUNS = process.env['AMPWRIGHT_PROVE'] === '1' ? 2000 : 200;

describe(`mutations of the demo machines, seed ${SEED}, ${RUNS} of 2000 (AMPWRIGHT_PROVE=1 for all)`, () => {
  it('give a machine or named issues, without an exception, in under 200 ms', () => {
    for (const path of DEMOS) readMachine(fileText(path));
    fc.assert(fc.property(fc.constantFrom(...DEMOS), fc.array(mutation, { minLength: 1, maxLength: 5 }), (path, mutations) => {
      const text = mutations.reduce(mutate, fileText(path));
      holdsUp(text, 200);
      expect(fingerprint(text)).toHaveLength(10);
    }), { seed: SEED, numRuns: RUNS });
  });

  it('edited at any path either hold the edit or refuse it', () => {
    const path = fc.array(fc.oneof(fc.constantFrom('parts', 'wiring', 'procedure', 'notes', 'R1', 'G1', 'resistance', 'positions', 'ON', 'new key', 'a: b', '#', ''), fc.integer({ min: -1, max: 12 })), { maxLength: 4 });
    const text = fc.oneof(fc.constantFrom(...TOKENS, '{ kind: joint }', '[a, b]', 'crew: x: y', '8 Ah, measured', ''), fc.string({ maxLength: 12 }));
    let held = 0;
    fc.assert(fc.property(fc.constantFrom(...DEMOS), path, text, (demo, at, value) => {
      try {
        const edited = editMachine(fileText(demo), [{ path: at, text: value }]);
        held += 1;
        holdsUp(edited, 200);
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
      }
    }), { seed: SEED, numRuns: RUNS });
    expect(held).toBeGreaterThan(RUNS / 20);
  });
});
