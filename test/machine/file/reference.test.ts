import { describe, expect, it } from 'vitest';
import { formatIssue, Issues } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { quantityIn } from '../../../src/machine/file/values.ts';
import { wordsOf } from '../../../src/machine/field.ts';
import { PART_KINDS } from '../../../src/machine/parts.ts';
import { fileText } from './demos.ts';
import { partReference, REFERENCE_STARTS } from './part-reference.ts';

describe('docs/machine-file.md', () => {
  const manual = fileText('docs/machine-file.md');

  it('ends with the reference of the part kinds as they are', async () => {
    const head = manual.split(REFERENCE_STARTS)[0] ?? '';
    await expect(`${head.trimEnd()}\n\n${partReference()}`).toMatchFileSnapshot('../../../docs/machine-file.md');
  });

  it('walks to a machine that the reader takes, once the walk is put together', () => {
    const walk = (manual.split('## Ten minutes')[1] ?? '').split('**Now read')[0] ?? '';
    const blocks = [...walk.matchAll(/```yaml\n(.*?)```/gs)].map((match) => match[1] ?? '');
    // The second returns block, the signal grounds and the leads beside them speak of a larger machine.
    const own = blocks.filter((block) => !block.includes('T4-') && !block.includes('signal grounds'));
    expect(own).toHaveLength(6);
    const result = readMachine(own.join(''));
    expect(result.ok ? result.questions : result.issues).toEqual([]);
    // The messages that it shows are those of its own machine with two slips in it.
    const slips = readMachine(own.join('').replace('rating: 60 A', 'rating: -60 A').replace('bar, Q1', 'bar, Q2'));
    expect(slips.ok ? [] : slips.issues.map((issue) => formatIssue(issue, 'first.yaml')).join('\n')).toBe(/```\n(first\.yaml.*?)\n```/s.exec(manual)?.[1]);
  });
});

describe('a part kind', () => {
  const quantities = PART_KINDS.flatMap(({ kind, fields }) => Object.entries(fields).flatMap(([property, field]) => (field.type === 'quantity' ? [{ name: `${kind}.${wordsOf(property)}`, field }] : [])));

  it.each(quantities)('gives an example for $name that its own rule takes without a question', ({ field }) => {
    const issues = new Issues();
    expect(quantityIn(field.example, { line: 1, column: 1 }, field, {}, issues)).toBeDefined();
    expect(issues.all()).toEqual([]);
  });

  it.each(PART_KINDS.map((kind) => ({ name: kind.kind, kind })))('$name has fields whose words come back to it, and none that the file keeps for itself', ({ kind }) => {
    const words = Object.keys(kind.fields).map(wordsOf);
    expect(new Set(words).size).toBe(words.length);
    expect(words.filter((word) => ['kind', 'about'].includes(word) || !/^[a-z]+(?: [a-z]+)*$/.test(word))).toEqual([]);
  });
});
