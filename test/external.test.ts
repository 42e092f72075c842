import { describe, expect, it } from 'vitest';
import { external } from './external.ts';
import type { External, ExternalRecord } from './external.ts';

const sound: External = { source: 'a handbook, 1st edition, table 1', what: 'a figure', expected: 100, got: 101, unit: 'Ω', relative: 0.01 };

function run(change: Partial<External>): ExternalRecord[] {
  const records: ExternalRecord[] = [];
  external({ ...sound, ...change }, (entry) => records.push(entry));
  return records;
}

describe('external', () => {
  it('passes on the edge of its tolerance', () => {
    expect(run({})).toHaveLength(1);
  });
  it('lets the wider of two tolerances count', () => {
    expect(() => run({ got: 104, absolute: 5 })).not.toThrow();
    expect(() => run({ got: 104, absolute: 5, relative: 0.001 })).not.toThrow();
    expect(() => run({ got: 106, absolute: 5, relative: 0.001 })).toThrow();
  });
  it.each([
    ['a figure too high', { got: 101.1 }],
    ['a figure too low', { got: 98.9 }],
    ['a figure with the wrong sign', { got: -100 }],
    ['a figure that is not a number', { got: Number.NaN }],
    ['an infinite figure', { got: Infinity }],
    ['an expected value that is not a number', { expected: Number.NaN }],
    ['any deviation from zero under a relative tolerance', { expected: 0, got: 1e-12 }],
  ])('fails on %s', (_name, change) => {
    expect(() => run(change)).toThrow(/expected .* got .* source: a handbook/);
  });
  it('fails with a message that says how far off', () => {
    expect(() => run({ got: 110 })).toThrow('a figure: expected 100 ± 1 Ω, got 110 Ω (off by 10; source: a handbook, 1st edition, table 1)');
  });
  it.each([
    ['no source', { ...sound, source: ' ' }],
    ['no name', { ...sound, what: '' }],
    ['no tolerance', { source: 's', what: 'w', expected: 1, got: 1, unit: 'V' }],
    ['a negative tolerance', { ...sound, relative: -0.1 }],
    ['a tolerance that is not a number', { ...sound, relative: Number.NaN }],
  ])('refuses a check with %s', (_name, check: External) => {
    expect(() => external(check, () => undefined)).toThrow(TypeError);
  });
  it('records a failing check too, with its test', () => {
    const records: ExternalRecord[] = [];
    expect(() => external({ ...sound, got: 200 }, (entry) => records.push(entry))).toThrow();
    expect(records).toEqual([{ ...sound, got: 200, holds: false, test: 'external > records a failing check too, with its test' }]);
  });
});
