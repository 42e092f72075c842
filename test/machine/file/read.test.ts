import { describe, expect, it } from 'vitest';
import { formatIssue } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import type { Machine } from '../../../src/machine/machine.ts';
import { external } from '../../external.ts';
import { BENCH, bench, DEMOS, fileText } from './demos.ts';

function machineOf(text: string): Machine {
  const result = readMachine(text);
  if (!result.ok) throw new Error(result.issues.map((issue) => formatIssue(issue, 'x.yaml')).join('\n'));
  return result.machine;
}

function messages(text: string): readonly string[] {
  const result = readMachine(text);
  return (result.ok ? result.questions : result.issues).map((issue) => formatIssue(issue, 'x.yaml'));
}

describe('the demo machines', () => {
  it.each([...DEMOS, 'machines/trk14s.yaml', 'machines/kart16s.yaml', 'machines/board10s.yaml'])('%s is read without an issue or a question', (path) => {
    const result = readMachine(fileText(path));
    expect(result.ok ? result.questions : result.issues).toEqual([]);
    expect(result.ok).toBe(true);
  });

  // Source: the machine's own description, in its comments and fields; figures as printed there.
  it('CRUSH10S is what its description says', () => {
    const { parts, powerUp, powerDown, wiring, match } = machineOf(fileText('machines/crush10s.yaml'));
    const q1 = parts.get('Q1');
    if (q1?.kind !== 'isolator') throw new Error('Q1 is no isolator');
    expect([...(q1.values.positions ?? new Map())]).toEqual([
      ['OFF', { path: 'open' }], ['CHARGE', { path: 'through', part: 'R1' }], ['ON', { path: 'direct' }],
    ]);
    expect(q1.values.gap).toMatchObject({ value: 0.02, low: 0.01, high: 0.04, origin: 'stated' });
    expect(parts.get('T1')?.values).toMatchObject({ capacitance: { value: 2e-3 }, seriesResistance: { value: 0.01 }, standby: { value: 0.045 }, logicStart: { value: 8 }, drives: 'M1' });
    expect(parts.get('G1')?.values).toMatchObject({ cells: { value: 10 }, capacity: { value: 28800 }, fullVoltage: { perCell: true, text: '42.0 V' } });
    expect(powerUp.map(({ act }) => act)).toEqual(['crew', 'insert', 'turn', 'wait', 'turn', 'turn', 'wait', 'turn', 'crew', 'crew', 'crew']);
    expect(powerUp[3]).toMatchObject({ act: 'wait', time: { value: 2 }, text: 'wait 2 s' });
    expect(powerDown.filter(({ act }) => act !== 'crew').map(({ text }) => text)).toEqual(['turn Q2 to OFF', 'turn Q1 to OFF', 'remove LK1']);
    expect(wiring.bar?.joint.value).toBe(2e-4);
    expect(wiring.chains.filter(({ role }) => role === 'signal ground')).toHaveLength(3);
    expect(match.value).toBe(180);
  });

  it('a full voltage for the pack is held per cell', () => {
    const pack = machineOf(fileText('machines/crush10s.yaml')).parts.get('G1');
    if (pack?.kind !== 'pack') throw new Error('G1 is no pack');
    external({ source: 'arithmetic', what: '42 V over ten cells in series', expected: 4.2, got: pack.values.fullVoltage?.value ?? NaN, unit: 'V', absolute: 1e-12 });
  });

  it('LIFT6S returns its lifter by way of the left controller, and the rest by the bar', () => {
    const { wiring } = machineOf(fileText('machines/lift6s.yaml'));
    expect(wiring.chains.filter(({ role }) => role === 'return')).toMatchObject([{ from: { part: 'T3', terminal: '-' }, to: { part: 'T1', terminal: '-' } }]);
    expect(wiring.bar?.joint.origin).toBe('class default');
  });
});

describe('a chain', () => {
  const conductorOf = (written: string) => {
    const item = machineOf(bench('12 AWG 0.30 m', written)).wiring.chains.find(({ name }) => name === 'drive')?.items[1];
    if (item === undefined || !('conductor' in item)) throw new Error('no conductor');
    return item.conductor;
  };

  // Source: ASTM B258, sections of AWG sizes: 12 AWG 3.31 mm², 2/0 AWG 67.4 mm² (three figures: 0.2 %).
  it.each([
    ['12 AWG 0.30 m', 3.31, 0.3], ['AWG 12 0.30 m', 3.31, 0.3], ['0.30 m 12 AWG', 3.31, 0.3], ['0.30 m AWG 12', 3.31, 0.3],
    ['12AWG 30cm', 3.31, 0.3], ['16 mm² 0.5 m', 16, 0.5], ['0.5 m 16 mm2', 16, 0.5], ['2/0 AWG 1 m', 67.4, 1],
  ] as const)('takes %s for a section and a length in either order', (written, section_mm2, length_m) => {
    const { section, length, lay } = conductorOf(written);
    external({ source: 'ASTM B258, table of AWG sizes', what: `section of "${written}"`, expected: section_mm2, got: section.value * 1e6, unit: 'mm²', relative: 0.002 });
    expect(length.value).toBeCloseTo(length_m, 12);
    expect(lay).toBe('tied');
  });

  it('takes how the pair lies, its colour, and a spread in brackets with a comma', () => {
    const conductor = conductorOf('12 AWG 0.5 m (0.4 to 0.6 m, measured) loose red and black');
    expect(conductor).toMatchObject({ lay: 'loose', colour: 'red and black', length: { value: 0.5, low: 0.4, high: 0.6, origin: 'measured' } });
    expect(conductorOf('12 AWG 0.4 to 0.6 m coaxial')).toMatchObject({ lay: 'coaxial', length: { low: 0.4, high: 0.6 }, colour: undefined });
    expect(conductorOf('12 AWG 0.5 m ±10 % RD')).toMatchObject({ length: { low: 0.45, high: 0.55 }, colour: 'RD' });
  });

  it('runs from a terminal or place, through parts, to a terminal or place', () => {
    const { wiring } = machineOf(BENCH);
    expect(wiring.chains.map(({ from, to }) => [from, to])).toEqual([
      [{ part: 'G1', terminal: '+' }, { place: 'bar' }], [{ place: 'bar' }, { part: 'T1', terminal: '+' }],
      [{ place: 'bar' }, { part: 'T1', terminal: '+' }], [{ part: 'T1', terminal: '+' }, { part: 'T2', terminal: '+' }],
      [{ part: 'T2', terminal: 'out' }, { part: 'K1', terminal: '+' }],
    ]);
    expect(wiring.chains[2]?.items).toEqual([{ part: 'S1' }, { part: 'R2' }]);
    expect(wiring.chains[1]?.line).toBe(17);
  });
});

describe('what the file leaves out', () => {
  it('takes the class default of its kind, marked as one', () => {
    const { parts, match, surroundings } = machineOf(BENCH);
    expect(parts.get('T1')?.values).toMatchObject({ capacitance: { origin: 'class default' }, motorCurrent: { origin: 'stated' } });
    expect(match.origin).toBe('class default');
    expect(surroundings).toMatchObject({ ambient: { value: 25, low: 5, high: 45 }, inside: { value: 40, low: 25, high: 65 } });
  });

  it('never takes one where the file says something', () => {
    const { parts } = machineOf(bench('motor current: 60 A', 'motor current: 60 A, capacitance: 3 mF'));
    expect(parts.get('T1')?.values).toMatchObject({ capacitance: { value: 3e-3, origin: 'stated' } });
  });

  it('an isolator without positions is an on-off switch', () => {
    const text = bench(', positions: { OFF: open, CHARGE: through R1, ON: direct }', '').replace('  R1: { kind: resistor, resistance: 33 Ω }\n', '')
      .replace('turn Q1 to CHARGE', 'close Q1').replace('  - turn Q1 to ON\n', '');
    const { parts, powerUp } = machineOf(text);
    expect([...((parts.get('Q1')?.values as { positions: ReadonlyMap<string, unknown> }).positions)]).toEqual([['OFF', { path: 'open' }], ['ON', { path: 'direct' }]]);
    expect(powerUp[1]).toMatchObject({ act: 'close', part: 'Q1' });
  });

  it('ON and OFF are texts with and without quotes', () => {
    const quotedText = bench('{ OFF: open, CHARGE: through R1, ON: direct }', '{ "OFF": open, CHARGE: through R1, "ON": direct }');
    expect(machineOf(quotedText).parts.get('Q1')?.values).toEqual(machineOf(BENCH).parts.get('Q1')?.values);
  });
});

describe('an issue', () => {
  it.each([
    ['rating: 60 A', 'rating: -30 A', 'x.yaml:8:29: parts.F1.rating: expected a current above 0 A like "150 A", found "-30 A"'],
    ['rating: 60 A', 'rating: 60 V', 'x.yaml:8:29: parts.F1.rating: expected a current above 0 A like "150 A", found "60 V" (a voltage)'],
    ['rating: 60 A', 'ratng: 60 A', 'x.yaml:8:21: parts.F1.ratng: expected a field of a fuse, found "ratng"; did you mean "rating"?'],
    ['kind: fuse, rating: 60 A', 'kind: fuse', 'x.yaml:8:3: parts.F1.rating: expected a current above 0 A like "150 A", found none; Rated current.'],
    ['kind: fuse', 'kind: fuze', 'found "fuze"; did you mean "fuse"?'],
    ['chemistry: lipo', 'chemistry: lipoo', 'x.yaml:5:32: parts.G1.chemistry: expected "lipo", "nca", "nmc" or "lfp", found "lipoo"; did you mean "lipo"?'],
    ['cells: 6', 'cells: 6.5', 'parts.G1.cells: expected a whole number, found "6.5"'],
    ['resistance: 33 Ω', 'resistance: 33 Ω ±150 %', 'found "33 Ω ±150 %"; its spread reaches beyond'],
    ['through R1', 'through R11', 'parts.Q1.positions: expected the id of a resistor, found "R11", which is no part; did you mean "R1"?'],
    ['ON: direct', 'ON: dirct', 'expected "open", "direct" or "through" a resistor, found "dirct"; did you mean "direct"?'],
    ['drives: M1', 'drives: K1', 'parts.T1.drives: expected the id of a motor, found K1, which is a receiver; there is M1'],
    ['cells: 6,', 'cells: 6S,', 'x.yaml:5:45: parts.G1.cells: expected a count of at least 1 and up to 60 like "10", found "6S"; write "6"'],
    ['cells: 6,', 'cells: 10s3p,', 'found "10s3p"; write "10", and "parallel: 3" beside it'],
    ['12 AWG 0.30 m', '12 AWG 0,30 m', 'x.yaml:17:31: wiring.drive: expected a decimal point, found "0,30"; write "0.30": commas part the pieces of a chain'],
    ['12 AWG 0.30 m', '12 AWG 0.60 m out and back', 'found "12 AWG 0.60 m out and back"; a length is written one way: half of what goes out and back'],
    ['12 AWG 0.30 m', '12 AWG 0.30 m one way', 'every length is one way: leave these words out'],
    ['kind: motor }', 'kind: motor', 'x.yaml:12:7: expected a } that closes it, found none after the { here; what begins with { or [ ends on its own line'],
    ['machine: BENCH', 'machine: "BENCH', 'x.yaml:2:10: expected a second " that ends the text, found none after the " here'],
    ["pack: from G1+", "pack: 'from G1+", "x.yaml:16:9: expected a second ' that ends the text, found none after the ' here"],
    ['kind: motor }', 'kind: motor, drives: [a }', 'x.yaml:12:30: expected a ] that closes it, found none after the [ here'],
    ['kind: controller', 'kind: ESC', 'parts.T1.kind: expected a kind of part, like "controller", "isolator" or "fuse" (docs/machine-file.md lists all'],
    ['kind: controller', 'kind: ESC', 'found "ESC"; did you mean "controller"?'],
    ['kind: button', 'kind: buton', 'expected a kind of part, like "button", "controller" or "isolator"'],
    ['stop: 7.5 V', 'stop: 9.5 V', 'parts.T2.stop: expected a voltage below the one at which it starts ("9 V"), found "9.5 V"'],
    ['to bar\n', 'to baar\n', 'x.yaml:16:38: wiring.pack: expected a terminal of a part, or a place that another chain touches too, found "baar"; did you mean "bar"?'],
    ['from G1+', 'from G2+', 'x.yaml:16:9: wiring.pack: expected a terminal of a part, or the name of a place, found "G2", which is no part; did you mean "G1"?'],
    ['from bar, Q1', 'from bar, Q2', 'x.yaml:17:20: wiring.drive: expected the id of a part, or a conductor like "8 AWG 0.50 m", found "Q2"; did you mean "Q1"?'],
    ['F1, to bar', 'K1, to bar', 'wiring.pack: expected a part with two ends, or a conductor, found K1, which is a receiver'],
    ['S1, R2, to T1', 'S1, R2, to F1', 'wiring.bypass: expected a terminal or a place, found F1, which is a fuse and stands inside a chain'],
    ['S1, R2, to T1', 'S1, F1, to T1', 'wiring.bypass: expected a part that stands nowhere else, found F1, which is already in chain "pack"'],
    ['S1, R2, to T1', 'S1, R1, to T1', 'wiring.bypass: expected a part that stands nowhere else, found R1, which is already in a position of Q1'],
    ['  S1: {', '  Q2: { kind: isolator, positions: { OFF: open, SLOW: through R1, ON: direct } }\n  S1: {', 'x.yaml:9:36: parts.Q2.positions: expected a resistor that stands nowhere else, found R1, which is already in a position of Q1'],
    ['S1, R2, to T1', 'S1, to T1', 'x.yaml:10:3: parts.R2: expected a resistor in a chain, found no chain that it stands in'],
    ['12 AWG 0.30 m', '12 AWG', 'wiring.drive: expected a conductor like "8 AWG 0.50 m", found "12 AWG"; it needs its cross-section and its length (one way)'],
    ['12 AWG 0.30 m', '12 AWG 0.30 m lose', 'found "lose"; did you mean "loose"?'],
    ['12 AWG 0.30 m', '12 AWG 0.30 V', 'expected a length above 0 m like "0.50 m", found "0.30 V" (a voltage)'],
    ['  radio: from T2 out, to K1\n', '', 'x.yaml:14:3: parts.K1: expected a chain that feeds a receiver, found no chain that ends at K1'],
    ['from T2 out', 'from T1 out', 'wiring.radio: expected a terminal that a motor controller has, found "T1 out"; it has "+", "-"'],
    ['to T2\n', 'to G1-\n', 'wiring.logic: expected a + side or a place, found "G1-"; how negatives run back belongs in "returns"'],
    ['from bar, S1, R2, to T1', 'from G1+, S1, R2, to G1-', 'x.yaml:18:29: wiring.bypass: expected a chain that ends at a load, found a wire from G1+ to G1-; this shorts the pack'],
    ['returns: all negatives on one bar, 0.2 mΩ a joint\n', '', 'x.yaml:1:1: returns: expected how the negatives run back to the pack, found nothing; most machines need one line: "returns: all negatives on one bar, 0.2 mΩ a joint"'],
    ['all negatives on one bar, 0.2 mΩ a joint', 'all negatives on a bar', 'x.yaml:21:10: returns: expected "all negatives on one bar, 0.2 mΩ a joint", or a mapping of return chains, found "all negatives on a bar"'],
    ['all negatives on one bar, 0.2 mΩ a joint', '{ general: all negatives on one bar, arm: "from T1-, 12 AWG 1 m, to T2" }', 'returns.arm: expected a - side or a place, in a return chain, found "T2+"; did you mean "T2-"?'],
    ['all negatives on one bar, 0.2 mΩ a joint', '{ arm: "from T1-, 12 AWG 1 m, to G1-" }', 'x.yaml:13:3: parts.T2: expected a way back from T2- to a pack, found none in "returns"'],
    ['rating: 60 A', 'rating: 0 A', 'parts.F1.rating: expected a current above 0 A like "150 A", found "0 A"'],
    ['stop: 7.5 V', 'stop: 7.5 V, efficiency: 120 %', 'parts.T2.efficiency: expected a ratio above 0 % and up to 100 % like "85 %", found "120 %"'],
    ['resistance: 33 Ω', 'resistance: 1e-300 Ω', 'found "1e-300 Ω"; nobody builds with such a number'],
    ['capacity: 3.3 Ah', 'capacity: 1e200 Ah', 'found "1e200 Ah"; nobody builds with such a number'],
    ['F1: {', '1F: {', 'x.yaml:8:3: parts: expected an id of letters and digits that starts with a letter, like "Q1", found "1F"'],
    ['parts:', '---\nparts:', 'expected one machine a file, found a second document after "---"'],
    ['from T1, 20 AWG 0.1 m, to T2', 'from T2, 20 AWG 0.1 m, to T2', 'wiring.logic: expected two different ends, found T2+ twice'],
    ['all negatives on one bar, 0.2 mΩ a joint', '{ general: all negatives on one bar, arm: "from T1-, 12 AWG 1 m, to bar" }', 'returns.arm: expected a place on one side only, found "bar" on the + side and on the - side'],
    ['all negatives on one bar, 0.2 mΩ a joint', '{ general: all negatives on one bar, a: "from T1-, 12 AWG 1 m, to T2-", b: "from T2-, 12 AWG 1 m, to T1-" }', 'x.yaml:11:3: parts.T1: expected a way back from T1- to a pack, found none in "returns"'],
    ['turn Q1 to CHARGE', 'turn Q1 to CHARG', 'x.yaml:24:5: procedure.2: expected a position of Q1: "OFF", "CHARGE" or "ON", found "CHARG"; did you mean "CHARGE"?'],
    ['turn Q1 to CHARGE', 'press Q1', 'procedure.2: expected a part to press, found Q1, which is an isolator; the words for it are "turn", "close" or "open"'],
    ['turn Q1 to CHARGE', 'trun Q1 to CHARGE', 'found "trun Q1 to CHARGE"; did you mean "turn"?'],
    ['turn Q1 to CHARGE', 'insert LK1', 'procedure.2: expected the id of a part to insert, found "LK1"'],
    ['turn Q1 to CHARGE', 'close Q1', 'procedure.2: expected the position that Q1 is turned to, found "close Q1"'],
    ['turn Q1 to CHARGE', 'hold S1 for 2 V', 'procedure.2: expected a time of at least 0 s and up to 3600 s like "2 s", found "2 V" (a voltage)'],
    ['wait 2 s', 'wait: 2 s', 'found "wait:"; without the colon: "wait 2 s"'],
    ['procedure:', 'procedures:', 'x.yaml:22:1: procedures: expected a section of a machine file, found "procedures"; did you mean "procedure"?'],
    ['ampwright: 1', 'ampwright: 2', 'x.yaml:1:12: ampwright: expected the format version, "ampwright: 1", found "2"'],
    ['F1: {', 'G1: {', 'x.yaml:8:3: expected every name once, found "G1" a second time'],
    ['F1: {', '__proto__: {', 'x.yaml:8:3: expected any other name, found "__proto__"'],
    ['kind: fuse,', 'constructor: x, kind: fuse,', 'expected any other name, found "constructor"'],
    ['kind: fuse,', '<<: x, kind: fuse,', 'expected fields written out, found "<<"; merge keys are not read'],
    ['kind: fuse,', 'kind: &f fuse,', 'x.yaml:8:15: expected plain values, found an anchor (&)'],
    ['kind: fuse,', 'kind: *f ,', 'expected plain values, found an alias (*)'],
    ['kind: fuse,', 'kind: !!js/function fuse,', 'expected plain values, found a tag (!)'],
    ['  R1:', '\tR1:', 'x.yaml:7:1: expected spaces before the first word of a line, found a tab'],
    ['kind: fuse', 'kind: fuse\u0000', 'expected text, found "\\u{0}"; a control character: is this a text file?'],
    ['kind: fuse', 'kind: fuse\uFFFD', 'the file is not UTF-8 text: save it as UTF-8'],
    ['kind: fuse', 'kind: "fuse\\e[31m"', 'expected a text without control characters, found "fuse\\u{1b}[31m"'],
    ['kind: fuse,', 'kind: fuse, about: a fuse, slow,', 'found "slow"; inside { } a value that holds a comma goes in quotes'],
    ['machine: BENCH', 'machine: BENCH: 2', 'a text that holds ": " goes in quotes'],
  ] as const)('%j written %j says what was expected', (found, replacement, message) => {
    const result = readMachine(bench(found, replacement));
    expect(result.ok).toBe(false);
    expect(messages(bench(found, replacement)).join('\n')).toContain(message);
  });

  it('of every kind is reported in one reading, in the order of the file', () => {
    const text = bench('rating: 60 A', 'rating: 60 V').replace('turn Q1 to ON', 'turn Q1 to NO').replace('cells: 6', 'cells: six');
    expect(messages(text).map((message) => message.split(':')[1])).toEqual(['5', '8', '26']);
  });

  it('a faulty part brings no other fault with it', () => {
    expect(messages(bench('kind: fuse, rating: 60 A', 'kind: fuse, rating: x'))).toHaveLength(1);
    expect(messages(bench('kind: fuse, rating: 60 A', 'kind: fuze'))).toHaveLength(1);
    expect(messages(bench('12 AWG 0.12 m, F1', '12 AWG, F1'))).toHaveLength(1);
  });
});

describe('a likely slip', () => {
  // Common practice, no source: what hobby machines have.
  it.each([
    ['capacity: 3.3 Ah', 'capacity: 3300 Ah', 'x.yaml:5:58: parts.G1.capacity: question: expected a charge as machines have it, 0.1 Ah to 200 Ah, found "3300 Ah"; did you mean "3300 mAh" (3.3 Ah)?'],
    // 6 cells of 3.7 V and 150 Ah are 3.33 kWh: 11.1 kg at 300 Wh/kg. 8 Ah are 178 Wh, 0.59 kg of 1.4.
    ['capacity: 3.3 Ah', 'capacity: 150 Ah', 'parts.G1.capacity: question: expected a pack that fits a machine of "10 kg", found "150 Ah" in 6 cells, which weighs 11 kg at the very least; mAh typed as Ah, or another mass?'],
    ['mass: 10 kg', 'mass: 350 g', 'parts.G1.capacity: question: expected a pack that fits a machine of "350 g", found "3.3 Ah" in 6 cells'],
    // The cube root of 10 is 2.15: leads up to 1.3 m.
    ['12 AWG 0.30 m', '12 AWG 1.5 m', 'wiring.drive: question: expected a lead that fits a machine of "10 kg", up to 1.3 m, found "1.5 m"; the length of a lead is one way, not out and back'],
    // 60 A through 20 AWG, 0.518 mm², are 116 A/mm²; 20 mm² are usual for that. 60 A through 30 mm² are 2 A/mm², and far too much for 30 AWG.
    ['12 AWG 0.30 m', '20 AWG 0.30 m', 'wiring.drive: question: expected a conductor for the "60 A" of T1, found "20 AWG"; did you mean "20 mm²"?'],
    ['12 AWG 0.30 m', '25 mm² 0.30 m', undefined],
    // 5 A through 16 mm² are 0.3 A/mm², through 16 AWG, 1.31 mm², 3.8 A/mm².
    ['output: 12 V, start: 9 V', 'output: 12 V, output current: 5 A, start: 9 V', undefined],
    ['cells: 6,', 'cells: 2,', 'parts.G1.cells: question: expected cells that wake T2, which starts at 9 V, found "2", 8.4 V when full; a 2S label read as 12S'],
    ['motor current: 60 A', 'motor current: 60 A, absolute voltage: 12 V', 'parts.G1.cells: question: expected cells that the loads bear: none is given for more than 12 V, found "6", 25.2 V when full; a 2S label read as 12S'],
    ['  - turn Q1 to ON\n', '  - turn Q1 to ON\n  - turn Q1 to ON\n', 'procedure.5: question: expected a turn away before this, found "turn Q1 to ON", and Q1 is at ON since line 26'],
    ['  - wait 2 s\n', '  - press S1\n  - press S1\n  - release S1\n', 'procedure.4: question: expected "release S1" before this, found "press S1", and S1 is pressed since line 25'],
    ['  - wait 2 s\n', '  - press S1\n', 'procedure.3: question: expected "release S1" later in the procedure, found "press S1" and no more of S1; or write "hold S1 for 2 s"'],
    ['  - wait 2 s\n', '  - hold S1 for 2 s\n  - press S1\n  - release S1\n', undefined],
    ['capacity: 3.3 Ah', 'capacity: 3.3 Ah, full voltage: 12.6 V', 'parts.G1.full voltage: question: expected 3 V to 4.6 V per cell, like "4.2 V per cell", found "12.6 V" for 6 cells'],
    ['12 AWG 0.30 m', '36 AWG 0.30 m', 'wiring.drive: question: expected a cross-section as machines have it'],
    ['12 AWG 0.30 m', '12 AWG 300 m', 'found "300 m"; did you mean "0.3 m"?'],
    ['motor current: 60 A', 'motor current: 60 A, capacitance: 1000 mF', 'found "1000 mF"; did you mean "1 mF"?'],
    ['  logic:', '  twin: from T1, 20 AWG 0.2 m, to T2\n  logic:', 'wiring.logic: question: expected one lead between two ends, found "logic" beside "twin"'],
  ] as const)('%j written %j is read and asked about, or not', (found, replacement, message) => {
    const text = bench(found, replacement);
    expect(readMachine(text).ok).toBe(true);
    if (message === undefined) expect(messages(text)).toEqual([]);
    else expect(messages(text).join('\n')).toContain(message);
  });

  it('of a gauge written in square millimetres is asked about where little current flows', () => {
    const text = bench('output: 12 V, start: 9 V', 'output: 12 V, output current: 5 A, start: 9 V').replace('20 AWG 0.1 m, to T2', '16 mm² 0.1 m, to T2');
    expect(messages(text).join('\n')).toContain('wiring.logic: question: expected a conductor for the "5 A" of T2, found "16 mm²"; did you mean "16 AWG"?');
  });

  it('is not asked about where there is none', () => {
    expect(messages(BENCH)).toEqual([]);
  });
});
