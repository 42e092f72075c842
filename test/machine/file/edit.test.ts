import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { editMachine } from '../../../src/machine/file/edit.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { BENCH, DEMOS, fileText } from './demos.ts';

/** Lines that differ, as `-old` and `+new`. */
function difference(before: string, after: string): string[] {
  const [a, b] = [before.split('\n'), after.split('\n')];
  let head = 0;
  while (head < Math.min(a.length, b.length) && a[head] === b[head]) head += 1;
  let tail = 0;
  while (tail < Math.min(a.length, b.length) - head && a.at(-1 - tail) === b.at(-1 - tail)) tail += 1;
  return [...a.slice(head, a.length - tail).map((line) => `-${line}`), ...b.slice(head, b.length - tail).map((line) => `+${line}`)];
}

const CRUSH = fileText('machines/crush10s.yaml');

describe('editing a machine file', () => {
  it.each(DEMOS)('without edits gives %s back to the byte', (path) => {
    expect(editMachine(fileText(path), [])).toBe(fileText(path));
  });

  it.each([
    ['a value in braces', ['parts', 'R1', 'resistance'], '10 Ω ±5 %',
      ['-  R1: { kind: resistor, about: soft start of the drive, resistance: 100 Ω, power: 10 W, construction: cement wirewound }',
        '+  R1: { kind: resistor, about: soft start of the drive, resistance: 10 Ω ±5 %, power: 10 W, construction: cement wirewound }']],
    ['a value on a line of its own, with the comment behind it', ['parts', 'T3', 'running'], '3 W',
      ['-    running: 7 W # radio, lock servo at rest, fan', '+    running: 3 W # radio, lock servo at rest, fan']],
    ['a step', ['procedure', 3], 'wait 5 s', ['-  - wait 2 s # "count two"', '+  - wait 5 s # "count two"']],
    ['a step of the crew', ['procedure', 0], 'crew: look around', ['-  - crew: transmitter on', '+  - crew: look around']],
    ['a chain', ['wiring', 'services'], 'from bar, 18 AWG 0.40 m, to T3',
      ['-  services: from drive, 18 AWG 0.40 m, to T3', '+  services: from bar, 18 AWG 0.40 m, to T3']],
    ['a new field in braces, in quotes where a comma asks for it', ['parts', 'R2', 'pulse'], '60 J, datasheet',
      ['-  R2: { kind: resistor, about: soft start of the arm, resistance: 100 Ω, power: 10 W, construction: cement wirewound }',
        '+  R2: { kind: resistor, about: soft start of the arm, resistance: 100 Ω, power: 10 W, construction: cement wirewound, pulse: "60 J, datasheet" }']],
    ['a new field on a line', ['parts', 'T3', 'waits for'], 'Q1', ['+    waits for: Q1']],
    ['a new part', ['parts', 'R9'], '{ kind: bleed, resistance: 4.7 kΩ }', ['+  R9: { kind: bleed, resistance: 4.7 kΩ }']],
    ['a new chain', ['wiring', 'bleed'], 'from drive, to R9', ['+  bleed: from drive, to R9']],
    ['a step at the end', ['power down', 5], 'wait 10 s', ['+  - wait 10 s']],
    ['a new section', ['about that: it'], 'x', ['+"about that: it": x']],
    ['a section put in one line', ['notes'], '{ event: none }', ['-  event: isolators reachable, locking pin on the arm; limits for switching off as the event\'s own rules say', '+  { event: none }']],
    ['a part taken out', ['parts', 'P2'], '', ['-  P2: { kind: lamp, about: arm is live, resistance: 8.2 kΩ }']],
    ['a field taken out of braces', ['parts', 'P2', 'about'], '', ['-  P2: { kind: lamp, about: arm is live, resistance: 8.2 kΩ }', '+  P2: { kind: lamp, resistance: 8.2 kΩ }']],
    ['a step taken out', ['procedure', 3], '', ['-  - wait 2 s # "count two"']],
  ] as const)('changes %s and nothing else', (_what, path, text, lines) => {
    expect(difference(CRUSH, editMachine(CRUSH, [{ path, text }]))).toEqual(lines);
  });

  it('puts a new section at the end, and the reader finds it', () => {
    const edited = editMachine(BENCH, [{ path: ['match'], text: '120 s' }, { path: ['power down'], text: '[turn Q1 to OFF, wait 1 min]' }]);
    const result = readMachine(edited);
    expect(edited.startsWith(BENCH.trimEnd())).toBe(true);
    expect(result.ok ? [result.machine.match.value, result.machine.powerDown.length] : result.issues).toEqual([120, 2]);
  });

  it('keeps Windows line ends', () => {
    const windows = BENCH.replaceAll('\n', '\r\n');
    const edited = editMachine(windows, [{ path: ['procedure', 4], text: 'wait 1 s' }, { path: ['procedure', 2], text: '' }]);
    expect(edited.replaceAll('\r\n', '')).not.toContain('\n');
    expect(edited).toContain('  - turn Q1 to ON\r\n');
    expect((parse(edited) as { procedure: unknown[] }).procedure).toEqual([{ crew: 'transmitter on' }, 'turn Q1 to CHARGE', 'turn Q1 to ON', 'wait 1 s']);
  });

  it('makes several edits in turn, each seen by the next', () => {
    const edited = editMachine(CRUSH, [
      { path: ['parts', 'R9'], text: '{ kind: resistor, resistance: 22 Ω }' },
      { path: ['parts', 'R9', 'power'], text: '50 W' },
      { path: ['parts', 'Q1', 'positions', 'CHARGE'], text: 'through R9' },
      { path: ['parts', 'R1'], text: '' },
    ]);
    const result = readMachine(edited);
    expect(result.ok ? result.machine.parts.get('R9')?.values : result.issues).toMatchObject({ resistance: { value: 22 }, power: { value: 50 } });
  });

  it.each([
    ['a step between two', { path: ['procedure', 2], text: 'wait 1 s', insert: true }, ['+  - wait 1 s']],
    ['a step before the first', { path: ['procedure', 0], text: 'crew: look', insert: true }, ['+  - crew: look']],
    ['a step behind the last', { path: ['power down', 5], text: 'wait 1 s', insert: true }, ['+  - wait 1 s']],
    ['a chain behind another', { path: ['wiring', 'spare'], text: 'from bar, to P9', insert: { behind: 'pack' } }, ['+  spare: from bar, to P9']],
    ['a value behind another, in braces', { path: ['parts', 'P1', 'forward drop'], text: '3 V', insert: { behind: 'kind' } },
      ['-  P1: { kind: lamp, about: drive is live, resistance: 8.2 kΩ }', '+  P1: { kind: lamp, forward drop: 3 V, about: drive is live, resistance: 8.2 kΩ }']],
    ['a part in braces copied', { path: ['parts', 'P3'], text: '', copyOf: 'P1' }, ['+  P3: { kind: lamp, about: drive is live, resistance: 8.2 kΩ }']],
    ['a part on several lines copied behind another', { path: ['parts', 'M9'], text: '', copyOf: 'M3', insert: { behind: 'G1' } },
      ['+  M9:', '+    kind: motor', '+    about: crusher motor', '+    torque constant: 0.030 Nm/A', '+    resistance: 25 mΩ', '+    gearing: 180', '+    drives: a lead screw, which holds without power']],
    ['a copied part with what is said on its last line', { path: ['parts', 'T9'], text: '', copyOf: 'T3' },
      ['+  T9:', '+    kind: converter', '+    about: DC-DC converter for the logic', '+    output: 12 V', '+    output current: 5 A', '+    input maximum: 60 V', '+    start: 9 V', '+    stop: 7.5 V', '+    electrolytic: 100 µF', '+    ceramic: 22 µF', '+    running: 7 W # radio, lock servo at rest, fan']],
  ] as const)('puts in %s and changes nothing else', (_what, edit, lines) => {
    expect([...difference(CRUSH, editMachine(CRUSH, [edit]))].sort()).toEqual([...lines].sort());
  });

  it('puts a new entry where it was told', () => {
    const edited = editMachine(CRUSH, [{ path: ['procedure', 0], text: 'wait 9 s', insert: true }, { path: ['wiring', 'spare'], text: 'from bar, to P9', insert: { behind: 'pack' } }, { path: ['parts', 'P3'], text: '', copyOf: 'P1' }]);
    expect(edited).toContain('procedure:\n  - wait 9 s\n  - crew: transmitter on\n');
    expect(edited).toMatch(/\n  pack: .*\n  spare: from bar, to P9\n  drive: /);
    expect(edited).toMatch(/\n  P1: .*\n  P3: .*\n  P2: /);
    expect(editMachine('a: [x, y]\nb: { c: 1, d: 2 }\n', [{ path: ['a', 0], text: 'w', insert: true }, { path: ['a', 2], text: 'xx', insert: true }, { path: ['b', 'e'], text: '', copyOf: 'c' }])).toBe('a: [w, x, xx, y]\nb: { c: 1, e: 1, d: 2 }\n');
  });

  it.each([
    { path: ['parts', 'R1'], text: '{ kind: joint }', insert: { behind: 'G1' } }, { path: ['parts', 'R9'], text: '{ kind: joint }', insert: { behind: 'R77' } }, { path: ['parts', 'R9'], text: '', copyOf: 'R77' },
    { path: ['procedure', 40], text: 'wait 1 s', insert: true }, { path: ['procedure', -1], text: 'wait 1 s', insert: true }, { path: ['procedure', 0.5], text: 'wait 1 s', insert: true }, { path: ['procedure', 1], text: '', insert: true },
  ] as const)('refuses to put in what has no place: %j', (edit) => {
    expect(() => editMachine(CRUSH, [edit])).toThrow(RangeError);
  });

  it.each([
    [['parts', 'R77', 'resistance'], '1 Ω'], [['procedure', 40], 'wait 1 s'], [['procedure', -1], 'wait 1 s'], [['procedure', 1.5], 'wait 1 s'], [[], 'x'], [['parts', '__proto__'], '{}'],
    [['about'], 'two\nlines'], [['about'], '{ open'], [['parts', 'R1', 'resistance', 'x'], '1'], [['parts', 'R77'], ''], [['about'], '{ a: &b c }'],
  ] as const)('refuses the path %j with %j', (path, text) => {
    expect(() => editMachine(CRUSH, [{ path, text }])).toThrow(RangeError);
  });

  it('refuses a text that is no YAML', () => {
    expect(() => editMachine('a: [', [{ path: ['a'], text: '1' }])).toThrow(RangeError);
  });
});
