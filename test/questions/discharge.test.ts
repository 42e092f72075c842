import { describe, expect, test } from 'vitest';
import { editMachine } from '../../src/machine/file/edit.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { discharge } from '../../src/questions/discharge.ts';
import { external } from '../external.ts';
import { keepsTheRules } from './answer-rules.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { demoText, edited, machineOf, plainMachine, studyOf, type Feed } from './machines.ts';

const DOWN = '\npower down:\n  - turn Q1 to OFF\n';

/** The plain machine, switched off after it has been switched on, with a bleed across its bank. */
function bled(feed: Feed, bleed: string, values: Readonly<Record<string, string>> = {}): string {
  return edited(plainMachine(feed) + DOWN, { 'parts.R2': `{ kind: bleed, resistance: ${bleed} }`, 'wiring.bleed': 'from drive, to R2', ...values });
}

function ask(text: string): Answer {
  return discharge(studyOf(text), []).answer;
}

function feed(cells: number, capacitance_F: number, standby_A = 0, above_V = 8): Feed {
  return { cells, resistance_ohm: 20, controllers: [{ capacitance_F, standby_A, above_V }], converters: [], wait_s: 4 };
}

// Tolerance 0.5 %: the last of the soft start's charge, and the milliohms before the bank, stand between it and the full pack.
describe('time through a bleed to 5 V is R C ln(V/5)', () => {
  const source = 'closed form: R = t/(C·ln(V0/V))';
  for (const { cells, capacitance_F, bleed, expected, what } of [
    { cells: 12, capacitance_F: 4.7e-3, bleed: '5525 Ω', expected: 60, what: '4.7 mF, 50.4 V to 5 V, 5525 Ω' },
    { cells: 14, capacitance_F: 5.4e-3, bleed: '2.2 kΩ', expected: 29.3, what: '5.4 mF, 58.8 V to 5 V, 2.2 kΩ' },
    { cells: 6, capacitance_F: 3.1e-3, bleed: '4.7 kΩ', expected: 23.6, what: '3.1 mF, 25.2 V to 5 V, 4.7 kΩ' },
  ])
    test(what, () => {
      external({ source, what: `bleed: ${what}`, expected, got: ask(bled(feed(cells, capacitance_F), bleed)).figure!.value, unit: 's', relative: 5e-3 });
    });

  test('through a lamp it ends at the lamp’s own voltage', () => {
    // 570 µF through 1 kΩ: 0.57 s, from 12.6 V towards the 2 V at which the lamp goes out. The radio and the logic asleep.
    const asleep = { 'parts.T1.standby': '0 A', 'parts.T2.standby': '0 A', 'parts.T3.idle': '0 A', 'parts.T4.idle': '0 A', 'parts.K1.current': '1 nA' };
    const answer = ask(edited(demoText('bar3s'), asleep));
    external({ source: 'closed form: RC discharge towards the forward voltage', what: 'lamp of 1 kΩ and 2 V across 570 µF, 12.6 V to 5 V', expected: 0.57 * Math.log((12.6 - 2) / (5 - 2)), got: answer.figure!.value, unit: 's', relative: 1e-2 });
  });
});

test('logic draws a bank down in a straight line, and leaves it where it falls asleep', () => {
  const [C, I0, above] = [4e-3, 0.1, 8] as const;
  const answer = ask(plainMachine(feed(10, C, I0, above)) + DOWN);
  const plot = answer.evidence.find((one) => one.type === 'plot')!;
  if (plot.type !== 'plot') throw new Error('no plot');
  const { x, y } = plot.curves[0]!;
  const half = y.findIndex((v) => v <= 21);
  const crossing = x[half - 1]! + ((x[half]! - x[half - 1]!) * (y[half - 1]! - 21)) / (y[half - 1]! - y[half]!);
  external({ source: 'closed form: C·ΔV/I', what: '4 mF, 100 mA, 42 V to 21 V', expected: (C * 21) / I0, got: crossing, unit: 's', relative: 1e-2 });
  expect(answer.verdict).toBe('bad');
  expect(answer.figure).toBeUndefined();
  expect(answer.says).toMatch(/goes to sleep, and (6|7)\.\d+ V and/);
});

describe('the law begins at 60 V', () => {
  // 20 cells, 84 V: 3162 Ω bring 4.7 mF to 60 V in five seconds (derived in IEC 60204-1 terms: 5 s / (C ln(84/60))).
  const late = (bleed: string): Answer => ask(bled(feed(20, 4.7e-3), bleed));
  const time60 = (answer: Answer): string => {
    const table = answer.evidence.find((one) => one.type === 'table')!;
    if (table.type !== 'table') throw new Error('no table');
    return table.rows[0]![table.head.indexOf('Below 60 V')]!;
  };

  test('with 3162 ohms 60 V are reached in five seconds', () => {
    external({ source: 'IEC 60204-1:2016, 6.2.4: 60 V within 5 s; closed form', what: 'bleed of 3162 Ω: 4.7 mF, 84 V to 60 V', expected: 5, got: Number.parseFloat(time60(late('3162 Ω'))), unit: 's', relative: 1e-2 });
  });

  test('a little less is good, a little more is against the standard', () => {
    expect(late('2.7 kΩ').verdict).toBe('good');
    const answer = late('3.6 kΩ');
    expect(answer.verdict).toBe('bad');
    expect(answer.items[0]!.says).toContain('IEC 60204-1');
  });

  test('below it the answer says that no limit applies', () => {
    expect(ask(bled(feed(10, 2e-3), '2.2 kΩ')).basis.join(' ')).toContain('No law’s limit is passed'.replace('’', "'"));
  });
});

describe('verdicts', () => {
  test('slower than a minute is marginal, never is bad, little energy is neither', () => {
    expect(ask(bled(feed(10, 4e-3), '3.3 kΩ')).verdict).toBe('good');
    expect(ask(bled(feed(10, 4e-3), '10 kΩ')).verdict).toBe('marginal');
    expect(ask(plainMachine(feed(10, 4e-3, 0.1)) + DOWN).verdict).toBe('bad');
    // 200 µF at 8 V hold 6 mJ.
    expect(ask(plainMachine(feed(10, 2e-4, 0.1)) + DOWN).verdict).toBe('good');
  });

  test('a bleed that has failed is named as a slip', () => {
    const answer = ask(bled(feed(10, 4e-3), '3.3 kΩ'));
    const slip = answer.items.find((item) => item.slip)!;
    expect(slip).toMatchObject({ verdict: 'bad' });
    expect(slip.where).toContain('R2 broken');
    expect(answer.verdict).toBe('good');
  });

  test('a power down that leaves it on the pack is bad, and says so', () => {
    const answer = ask(edited(bled(feed(10, 2e-3), '2.2 kΩ'), { 'power down.0': 'turn Q1 to ON' }));
    expect(answer.verdict).toBe('bad');
    expect(answer.says).toMatch(/still on the pack with 42 V/);
  });

  test('a procedure that closes nothing leaves it untold', () => {
    const text = plainMachine(feed(10, 2e-3)).replace(/procedure:\n(.*\n)+/, 'procedure:\n  - crew: look\n');
    expect(ask(text)).toMatchObject({ verdict: 'cannot tell', needs: ['a procedure that closes a switch'] });
  });

  test('the time counts from the last switch, whatever the crew did before', () => {
    const text = bled(feed(10, 2e-3), '2.2 kΩ');
    const waited = text.replace(DOWN, `${DOWN.trimEnd().replace('- turn', '- wait 7 s\n  - turn')}\n`);
    expect(machineOf(waited).powerDown).toHaveLength(2);
    expect(ask(waited).figure!.value).toBeCloseTo(ask(text).figure!.value, 3);
  });

  test('each branch counts from what cuts it off, and the slowest is the headline', () => {
    const answer = ask(demoText('crush10s'));
    expect(answer.says).toMatch(/^Wait 20 s after “turn Q1 to OFF”, which cuts off the slowest of them\. banks at drive/);
    expect(answer.basis.join(' ')).toContain('(T1, T2, T3 by “turn Q1 to OFF”, T4 by “turn Q2 to OFF”)');
    // However long the crew takes from one isolator to the next, to the link and to the transmitter.
    const slow = ask(edited(demoText('crush10s'), { 'power down.1': 'wait 5 s', 'power down.2': 'turn Q1 to OFF' }));
    expect(slow.items[0]!.figure!.value).toBeCloseTo(answer.items[0]!.figure!.value, 2);
    expect(slow.items[1]!.figure!.value).toBeCloseTo(answer.items[1]!.figure!.value, 2);
  });

  test('a key in the negative cuts off too', () => {
    expect(ask(demoText('trk14s')).says).toMatch(/^Wait 7 s after “open Q1”\. banks at bar/);
  });

  test('without a power down every switch is opened', () => {
    const with_ = ask(bled(feed(10, 2e-3), '2.2 kΩ')).figure!.value;
    const without = ask(bled(feed(10, 2e-3), '2.2 kΩ').replace(DOWN, '\n')).figure!.value;
    expect(without).toBeCloseTo(with_, 6);
  });
});

describe('the demos', () => {
  test('CRUSH10S: nothing but its lamps takes the banks below 5 V', () => {
    const answer = ask(demoText('crush10s'));
    expect(answer.verdict).toBe('marginal');
    expect(answer.parts).toContain('P1');
    expect(answer.items.filter((item) => item.slip).map((item) => item.verdict)).toEqual(['bad', 'bad']);
    expect(answer.items.map((item) => item.where).join()).toMatch(/T1, T2, T3.*T4/);
    keepsTheRules(answer, 'demo');
  });

  test('LIFT6S and BAR3S are soon empty', () => {
    for (const name of ['lift6s', 'bar3s'] as const) {
      const answer = ask(demoText(name));
      expect(answer.verdict).toBe('good');
      expect(answer.cautions.join()).toContain('weapon');
      keepsTheRules(answer, 'demo');
    }
  });

  test('what it advises can be written into the file and holds there, and says what it costs the soft start', async () => {
    const text = demoText('crush10s');
    const [advice] = await expectAdviceToHold(text, 'discharge');
    expect(advice!.verdict).toBe('good');
    // 30 s / (4.122 mF · ln(42/5)) = 3420 ohms, next below in E12; at 42 V it takes 0.53 W.
    expect(advice!.what).toMatch(/R3 of 3\.3 kΩ, 2 W/);
    expect(advice!.caution).toMatch(/R3 takes 0\.53 W/);
    // The arm settles V R/(R + Rb) lower on top of what its logic takes: 8.2 kΩ on 100 Ω take half a volt.
    expect(advice!.says).toMatch(/arm isolator Q2 ends 5\.\d+ V short instead of 4\.\d+ V/);
    const written = machineOf(editMachine(text, advice!.edits));
    expect(written.parts.get('R3')).toMatchObject({ kind: 'bleed' });
    expect(written.wiring.chains.find((chain) => chain.name === 'bleed R3')).toMatchObject({ from: { place: 'drive' }, to: { part: 'R3', terminal: '+' } });
  });

  test('shares that pass come from the samples', async () => {
    const text = demoText('crush10s');
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 12, seed: 3, only: ['discharge'] });
    expect(answer!.passes).toBe(1);
    expect(answer!.figure!.low).toBeLessThan(answer!.figure!.high);
    keepsTheRules(answer!, 'demo');
  });
});
