import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { formatIssue } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { machineSchema } from '../../../src/machine/file/schema.ts';
import { BENCH, fileText } from './demos.ts';
import { violations } from './json-schema.ts';

function messages(text: string): readonly string[] {
  const result = readMachine(text);
  return (result.ok ? result.questions : result.issues).map((issue) => formatIssue(issue, 'x.yaml'));
}

/** BENCH with more parts, more lines of wiring, and signal grounds. */
function machine({ parts = '', wiring = '', grounds = '' }: { readonly parts?: string; readonly wiring?: string; readonly grounds?: string }): string {
  return BENCH.replace('wiring:\n', `${parts}wiring:\n${wiring}`).replace('procedure:', `${grounds === '' ? '' : `signal grounds:\n${grounds}`}procedure:`);
}

const LEAD = '  W1: { kind: bench lead, present: on the bench }\n';
const USB = '  usb: from T1-, 28 AWG 1 m, W1, to laptop\n';

describe('a bench lead', () => {
  it('may lead to a place where nothing else goes', () => {
    expect(messages(machine({ parts: LEAD, grounds: USB }))).toEqual([]);
  });

  it('says whether it is always there', () => {
    expect(messages(machine({ parts: LEAD.replace(', present: on the bench', ''), grounds: USB }))[0]).toMatch(/W1\.present: expected .*always/);
  });

  it.each([
    ['stands among the signal grounds only', { parts: LEAD, wiring: '  usb: from bar, W1, to T1\n' }, /a bench lead in a chain of "signal grounds"/],
    ['has nothing beside it', { parts: `${LEAD}  R9: { kind: resistor, resistance: 1 Ω }\n`, grounds: '  usb: from T1-, R9, W1, to laptop\n' }, /nothing beside it but conductors/],
    ['feeds a part that has logic', { parts: LEAD.replace(' }', ', feeds: R1 }'), grounds: USB }, /W1\.feeds: expected the id of a motor controller/],
    ['stands somewhere', { parts: LEAD }, /W1: expected a chassis or bench lead in a chain/],
  ])('%s', (_, more, expected) => {
    expect(messages(machine(more)).join('\n')).toMatch(expected);
  });
});

describe('a coil and a key input', () => {
  const contactor = (fields: string): { parts: string; wiring: string } => ({
    parts: `  K9: { kind: contactor, rating: 60 A${fields} }\n  C9: { kind: capacitors, capacitance: 1 mF }\n`, wiring: '  other: from bar, K9, to C9\n',
  });
  const keyed = (fields: string): string => machine({ parts: '  S9: { kind: isolator }\n' }).replace('motor current: 60 A', `motor current: 60 A, ${fields}`);

  it.each(['bar', 'T1', 'T1+', 'G1+', 'G1 +'])('are fed from %s', (point) => {
    expect(messages(machine(contactor(`, coil from: ${point}, coil voltage: 12 V`)))).toEqual([]);
    expect(messages(keyed(`key switch: S9, key from: ${point}`))).toEqual([]);
  });

  it.each([['bra', /did you mean "bar"/], ['T2 out', /an output feeds it/], ['K1', /coil from: expected a place or terminal that a pack feeds/]])('are not fed from %s', (point, expected) => {
    expect(messages(machine(contactor(`, coil from: ${point}, coil voltage: 12 V`))).join('\n')).toMatch(expected);
  });

  it('have a switch that may stand in no chain', () => {
    expect(messages(machine({ parts: '  S9: { kind: isolator }\n' })).join('\n')).toMatch(/S9: expected an isolator in a chain/);
    expect(messages(keyed('key switch: S9'))).toEqual([]);
  });

  it('need a coil voltage where something feeds the coil', () => {
    expect(messages(machine(contactor(', coil from: bar'))).join('\n')).toMatch(/K9\.coil voltage: expected a coil voltage, like "48 V"/);
  });
});

it.each(['machines/trk14s.yaml', 'machines/kart16s.yaml'])('%s, which has them, is read without a question and fits the JSON Schema', (path) => {
  expect(messages(fileText(path))).toEqual([]);
  expect(violations(machineSchema(), parse(fileText(path)))).toEqual([]);
});
