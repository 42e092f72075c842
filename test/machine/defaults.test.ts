import { describe, expect, it } from 'vitest';
import { PART_KINDS } from '../../src/machine/parts.ts';
import { defaultedFields, defaultsPage } from './defaults-reference.ts';

describe('docs/defaults.md', () => {
  // `npx vitest run test/machine/defaults.test.ts -u` writes the page anew after a class default has changed.
  it('is checked in as the part kinds have it', async () => {
    await expect(defaultsPage()).toMatchFileSnapshot('../../docs/defaults.md');
  });
});

describe('a part kind', () => {
  // The compiler holds a kind to this where it is declared; a kind that is cast past it would show here.
  it.each(PART_KINDS.map((kind) => ({ name: kind.kind, kind })))('$name names a source for every class default, and for nothing else', ({ kind }) => {
    const { defaulted, sourced } = defaultedFields(kind);
    expect(sourced).toEqual(defaulted);
    expect(Object.values(kind.sources).filter((source) => source.trim() === '')).toEqual([]);
  });
});
