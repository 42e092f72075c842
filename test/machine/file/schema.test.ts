import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { machineSchema } from '../../../src/machine/file/schema.ts';
import { BENCH, bench, DEMOS, fileText } from './demos.ts';
import { violations } from './json-schema.ts';

describe('the JSON Schema of the machine file', () => {
  // `npx vitest run test/machine/file/schema.test.ts -u` writes the file anew after a part kind has changed.
  it('is checked in as the part kinds have it', async () => {
    await expect(`${JSON.stringify(machineSchema(), undefined, 2)}\n`).toMatchFileSnapshot('../../../schema/machine.schema.json');
  });

  // Editors read YAML 1.2 core: numbers and booleans are not texts there.
  it.each(DEMOS)('admits %s', (path) => {
    expect(violations(machineSchema(), parse(fileText(path)))).toEqual([]);
  });

  it.each([
    ['kind: fuse', 'kind: fuze'], ['rating: 60 A', 'ratng: 60 A'], ['chemistry: lipo', 'chemistry: lead'], ['cells: 6, ', ''], ['ON: direct', 'ON: straight'],
    ['from bar, Q1', 'bar, Q1'], ['wait 2 s', 'wiat 2 s'], ['machine: BENCH\n', ''], ['ampwright: 1', 'ampwright: 2'], ['returns: all negatives on one bar', 'returns: all positives'],
    ['F1: {', '1F: {'], ['OFF: open, CHARGE: through R1, ON: direct', 'ON: direct'],
  ])('refuses %j written %j', (found, replacement) => {
    expect(violations(machineSchema(), parse(BENCH))).toEqual([]);
    expect(violations(machineSchema(), parse(bench(found, replacement)))).not.toEqual([]);
  });
});
