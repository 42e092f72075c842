import { describe, expect, test } from 'vitest';
import type { Answer } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import { overvoltage } from '../../src/questions/overvoltage.ts';
import { external } from '../external.ts';
import { keepsTheRules } from './answer-rules.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { fightOfStudy } from './fight.ts';
import { plain } from '../machine/match/machines.ts';
import { DEMO_NAMES, demoText, edited, machineOf, studyOf } from './machines.ts';

/** Loop inductance of a tied pair of 2.5 mm² with silicone jackets 2.1 times as thick as the copper (Rosa 1908): µ0/π (ln 4.2 + 1/4), H/m. */
const TIED_H_M = 4e-7 * (Math.log(4.2) + 0.25);
/** The two contacts' own loops, H. Common practice, no source. */
const OWN_LOOPS_H = 30e-9;
/** Series resistance of the ceramic and its pads, and of the pack, Ω. */
const CERAMIC_OHM = 5e-3;
const PACK_OHM = 0.3e-3;

interface Ring {
  readonly inductance_H: number;
  readonly capacitance_F: number;
  readonly resistance_ohm: number;
  readonly cells?: number;
  readonly converter?: string;
}

/** A converter with nothing but ceramic capacitors at its input, plugged in live: one loop of R, L and C. */
function ringing({ inductance_H, capacitance_F, resistance_ohm, cells = 12, converter = '' }: Ring): string {
  const length_m = (inductance_H - OWN_LOOPS_H) / TIED_H_M;
  // 2.5 mm² of fine strands, out and back: at most 7.98 Ω/km at 20 °C (IEC 60228, class 5); 5 % less is usual.
  const lead_ohm = 2 * 7.98e-3 * length_m * 0.95;
  const contactAndJoint_ohm = 0.2e-3;
  const fuse_ohm = resistance_ohm - CERAMIC_OHM - lead_ohm - PACK_OHM - contactAndJoint_ohm;
  return `ampwright: 1
machine: RING
parts:
  G1: { kind: pack, chemistry: lipo, cells: ${cells}, capacity: 20 Ah, cell resistance: 0.02 mΩ, full voltage: 4.2 V per cell }
  F1: { kind: fuse, rating: 30 A, resistance: ${fuse_ohm * 1e3} mΩ }
  Q1: { kind: isolator, rating: 40 A, closed resistance: 0.1 mΩ, force rise: 2 µs, bounce: 0 s }
  T1: { kind: converter, output: 5 V, running: 1 W, start: 75 V, electrolytic: 0 F, ceramic: ${capacitance_F * 1e6} µF${converter} }
wiring:
  input: from G1+, F1, Q1, 2.5 mm² ${length_m} m, to T1
returns: all negatives on one bar, 0.1 mΩ a joint
surroundings: { inside: 20 °C }
procedure:
  - turn Q1 to ON
`;
}

function ask(text: string): Answer {
  return overvoltage(studyOf(text), []).answer;
}

// Tolerance 1.5 %: leads' resistance is taken from the standard's largest value, the contact's melting voltage (0.4 V) is left out.
describe('a ceramic input that is plugged in live rings as the closed form says', () => {
  const source = 'step response of series R, L and C: overshoot e^(−πζ/√(1−ζ²)), any circuits text';
  const [inductance_H, capacitance_F] = [0.8e-6, 22e-6] as const;
  const characteristic_ohm = Math.sqrt(inductance_H / capacitance_F);
  for (const [damping, overshoot] of [[0.1, 0.7292], [0.2, 0.5266], [0.3, 0.3723], [0.5, 0.163]] as const)
    test(`damping ${damping}`, () => {
      const answer = ask(ringing({ inductance_H, capacitance_F, resistance_ohm: 2 * damping * characteristic_ohm }));
      external({ source, what: `peak at damping ${damping}: 50.4 V, 0.8 µH, 22 µF`, expected: 50.4 * (1 + overshoot), got: answer.figure!.value, unit: 'V', relative: 1.5e-2 });
    });

  test('22 µF behind 0.8 µH and 40 mΩ rings by 72 %', () => {
    const answer = ask(ringing({ inductance_H, capacitance_F, resistance_ohm: 40e-3 }));
    external({ source: 'lumped model of a hot plug', what: 'peak over pack: 22 µF, 0.8 µH, 40 mΩ', expected: 1.72, got: answer.figure!.value / 50.4, unit: '1', relative: 1.5e-2, note: 'common practice, no source' });
    expect(answer.items[0]!.says).toMatch(/ring/);
  });

  test('with damping of one and above it does not', () => {
    const answer = ask(ringing({ inductance_H, capacitance_F, resistance_ohm: 2.2 * characteristic_ohm }));
    external({ source, what: 'peak at damping 1.1: 50.4 V, 0.8 µH, 22 µF', expected: 50.4, got: answer.figure!.value, unit: 'V', relative: 5e-3 });
    expect(answer.items[0]!.says).toMatch(/Never above the pack/);
  });
});

describe('verdicts', () => {
  const rung: Ring = { inductance_H: 0.8e-6, capacitance_F: 22e-6, resistance_ohm: 40e-3 };
  const verdict = (converter: string): Answer => ask(ringing({ ...rung, converter }));

  test('are against what the converter bears: 87 V on 60, 90 and 110 V', () => {
    expect(verdict(', input maximum: 60 V').verdict).toBe('bad');
    expect(verdict(', input maximum: 90 V').verdict).toBe('marginal');
    expect(verdict(', input maximum: 110 V').verdict).toBe('good');
  });

  test('cannot be told without a limit where it rings, and need none where it does not', () => {
    const answer = verdict('');
    expect(answer.verdict).toBe('cannot tell');
    expect(answer.needs).toEqual(['input maximum of T1']);
    expect(ask(ringing({ ...rung, resistance_ohm: 0.4 })).verdict).toBe('good');
  });

  test('a procedure that closes nothing leaves it untold', () => {
    expect(ask(ringing(rung).replace('turn Q1 to ON', 'crew: look'))).toMatchObject({ verdict: 'cannot tell', needs: ['a procedure that closes a switch'] });
  });

  test('a converter that bears less than the full pack is named without any ringing', () => {
    const answer = ask(ringing({ ...rung, resistance_ohm: 0.4, converter: ', input maximum: 48 V' }));
    expect(answer.verdict).toBe('bad');
    expect(answer.items[0]!.says).toMatch(/Never above the pack/);
  });

  test('damping with √(L/C) of an electrolytic is advised, and holds when it is written into the file', async () => {
    const [advice] = await expectAdviceToHold(ringing({ ...rung, converter: ', input maximum: 72 V' }), 'overvoltage');
    // √(0.8 µH / 22 µF) = 0.19 ohms, four times 22 µF and up.
    expect(advice!.edits.map((edit) => edit.text)).toEqual(['100 µF', expect.stringMatching(/^0\.(18|19|2) Ω$/)]);
    expect(advice!.verdict).toBe('good');
  });
});

describe('the demos', () => {
  test('big electrolytic banks do not ring: no part sees more than a few per cent above the pack', () => {
    for (const name of DEMO_NAMES) {
      const base = studyOf(demoText(name));
      const { answer } = overvoltage(base, []);
      expect(answer.verdict).toBe('good');
      for (const item of answer.items) expect(item.figure!.value).toBeLessThan((item.slip ? 1.12 : 1.02) * base.supply_V);
      keepsTheRules(answer, 'demo');
    }
  });

  test('of several inputs the one closest to its limit speaks for a forgotten soft start', () => {
    const slips = overvoltage(studyOf(edited(demoText('crush10s'), { 'parts.T3.input maximum': '44 V' })), []).answer.items.filter((item) => item.slip);
    expect(slips[0]!.parts).toEqual(['T3', 'Q1']);
    expect(slips[0]!.verdict).toBe('marginal');
    expect(overvoltage(studyOf(demoText('crush10s')), []).answer.items.find((item) => item.slip)!.parts[0]).toBe('T1');
  });

  test('each input is seen closing by closing: the arm has nothing before its own isolator', () => {
    const { answer } = overvoltage(studyOf(demoText('crush10s')), []);
    expect(answer.items.find((item) => item.parts[0] === 'T4')!.parts).toEqual(['T4', 'Q2']);
    expect(answer.items.find((item) => item.parts[0] === 'T1')!.parts).toEqual(['T1', 'Q1']);
    const table = answer.evidence.find((one) => one.type === 'table')!;
    if (table.type !== 'table') throw new Error('no table');
    const arm = table.head.indexOf('T4');
    expect(table.rows.slice(0, 3).map((row) => row[arm])).toEqual(['0 V', '0 V', '0 V']);
    expect(table.rows[4]![arm]).toMatch(/^42/);
  });

  test('shares that pass come from the samples', async () => {
    const text = demoText('crush10s');
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 12, seed: 3, only: ['overvoltage'] });
    expect(answer!.passes).toBe(1);
    keepsTheRules(answer!, 'demo');
  });
});

describe('in the match', () => {
  test('LIFT6S: what the lifter brakes cannot pass its diode, and lifts its own capacitors', async () => {
    const text = demoText('lift6s');
    const [answer] = await askQuestions({ machine: machineOf(text), text, samples: 0, seed: 1, only: ['overvoltage'] });
    expect(answer!.verdict).toBe('bad');
    expect(answer!.parts).toEqual(['T3']);
    expect(answer!.says).toMatch(/blocking diode D1 keeps it from giving/);
    keepsTheRules(answer!, 'demo');
  });

  test('LIFT6S: without its diode the pack takes it back, and a brake resistor takes it too; both hold in the file', async () => {
    const [open, brake] = await expectAdviceToHold(demoText('lift6s'), 'overvoltage');
    expect(open).toMatchObject({ verdict: 'good', free: true, what: expect.stringMatching(/^blocking diode D1 taken out of the way/) });
    expect(open!.edits).toEqual([{ path: ['wiring', 'lifter'], text: 'from bus, LK2, 12 AWG 0.25 m, to T3' }, { path: ['parts', 'D1'], text: '' }]);
    expect(brake).toMatchObject({ verdict: 'good', free: false, what: expect.stringMatching(/brake resistor R3 of [\d.]+ Ω at lifter controller T3, switched on at 28 V/) });
  });
});

describe('cells of a full pack that gets current back', () => {
  /** Down a slope with a full pack; the pack's own resistance lifts it by what comes back. */
  const downhill = (resistance_mOhm: number, charge: string): string => `${plain({
    pack: `, charge: ${charge}`, controller: ', regeneration: 20 A',
    motor: ', wheel diameter: 0.2 m, gearing: 10, gear efficiency: 100 %, grip: 1, rolling resistance: 0',
  }).replace('cell resistance: 1e-3 mΩ', `cell resistance: ${resistance_mOhm} mΩ`)}duty:\n  - { do: descend, at: 0 s, for: 20 s, slope: 90 %, throttle: 60 % }\nmatch: 20 s\nprocedure:\n  - connect X1\n`;
  const cells = (text: string) => overvoltage(studyOf(text), [], []).answer.items.find(({ where }) => where.startsWith('cells of'));

  test('rise by I·R over their rest voltage', () => {
    const text = downhill(5, '50 %');
    const { record } = fightOfStudy(studyOf(text));
    const { returned, usedShare } = record.packs[0]!;
    // 3.84 V at half charge; of the slow parts (0.2 R after a second, 0.3 R after 20 s) most has answered at the end.
    const slow = 0.2 * (1 - Math.exp(-10)) + 0.3 * (1 - Math.exp(-0.5));
    expect(Math.abs(usedShare)).toBeLessThan(1e-2);
    external({ source: 'Ohm, and a resting voltage of 3.84 V at half charge: common practice, no source', what: 'mean cell of 5 mΩ that gets current back for some ten seconds', expected: 3.84 + returned.value * 5e-3 * (1 + slow), got: cells(text)!.figure!.value, unit: 'V', absolute: 0.02, note: 'the current comes up over some seconds' });
  });

  test('are good, marginal or bad by how far above full they get', () => {
    const at = (resistance_mOhm: number) => cells(downhill(resistance_mOhm, '100 %'))!;
    const perMilliohm = (at(5).figure!.value - 4.2) / 5;
    expect([0.1, 0.2, 0.4].map((above) => at(Number((above / perMilliohm).toFixed(2))).verdict)).toEqual(['good', 'marginal', 'bad']);
  });

  test('BOARD10S starts its hill full: it is told so, and less charge or less regeneration mends it', async () => {
    const advice = await expectAdviceToHold(demoText('board10s'), 'overvoltage');
    expect(advice.map(({ what }) => what)).toEqual(['starting with 95 % in G1', 'regeneration limits lowered to 9 A at T1, 9 A at T2']);
    const found = cells(demoText('board10s'))!;
    expect(found.verdict).toBe('marginal');
    expect(found.says).toMatch(/over-charges it/);
  });

  test('a pack that gets nothing back has no such item', () => {
    expect(cells(demoText('bar3s'))).toBeUndefined();
  });
});
