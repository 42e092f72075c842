import { describe, expect, test } from 'vitest';
import { cableLump } from '../../src/physics/cable-limit.ts';
import { jouleTime_s } from '../../src/physics/joule.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { fuses } from '../../src/questions/fuses.ts';
import { heat } from '../../src/questions/heat.ts';
import { opening } from '../../src/questions/opening.ts';
import { overvoltage } from '../../src/questions/overvoltage.ts';
import { pack } from '../../src/questions/pack.ts';
import { radio } from '../../src/questions/radio.ts';
import type { Study } from '../../src/questions/study.ts';
import { trip } from '../../src/questions/trip.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { demoText, edited, studyOf, type DemoName } from './machines.ts';

// What is wrong with the demo machines in a match by the hand of the one who made them up, and what only looks wrong.

const studies = new Map<string, Study>();

function demo(name: DemoName): Study {
  const found = studies.get(name) ?? studyOf(demoText(name));
  studies.set(name, found);
  return found;
}

function item(answer: Answer, words: string) {
  const found = answer.items.find(({ where, slip }) => !slip && where.includes(words));
  if (found === undefined) throw new Error(`${answer.id}: no item ${words} in ${answer.items.map(({ where }) => where).join('; ')}`);
  return found;
}

describe('BAR3S', () => {
  test('flaw: its weapon controller passes a spin-up on without a limit; one that limits mends it', async () => {
    const { answer } = heat(demo('bar3s'), [], []);
    expect(answer.verdict).toBe('bad');
    expect(answer.parts).toEqual(['T1']);
    expect(answer.says).toMatch(/it is made for 35 A .* and nothing in it holds the motor to that/);
    // Tolerance 10 %: the winding at 25 °C; polarisation, and 40 °C inside. (12.6 V, 28.3 mΩ and 90 mΩ.)
    external({ source: 'Ohm\'s law: a motor at standstill on its source', what: 'BAR3S: motor current asked of a controller without a limit', expected: 12.6 / (28.3e-3 + 90e-3), got: answer.figure!.value, unit: 'A', relative: 0.1 });
    keepsTheRules(answer, 'bar3s');
    const advice = await expectAdviceToHold(demoText('bar3s'), 'heat');
    expect(advice.map(({ what, verdict }) => [what, verdict])).toEqual([['a controller that holds the motor to 35 A for weapon controller T1', 'good']]);
    expect(heat(studyOf(edited(demoText('bar3s'), { 'parts.T1.motor current': '100 A' })), [], []).answer.verdict).toBe('good');
    expect(heat(studyOf(edited(demoText('bar3s'), { 'parts.T1.motor current': '60 A' })), [], []).answer.verdict).toBe('marginal');
  });

  test('no problem: the radio, though the bus sags by a quarter', () => {
    const { answer } = radio(demo('bar3s'), [], []);
    expect(answer.verdict).toBe('good');
    expect(answer.notAProblem.join()).toContain('Never lost');
  });
});

describe('LIFT6S', () => {
  test('flaw: a blocking diode before a lifter that brakes', () => {
    const { answer } = overvoltage(demo('lift6s'), [], []);
    expect(answer.verdict).toBe('bad');
    expect(answer.parts).toEqual(['T3']);
    expect(answer.says).toContain('blocking diode D1 keeps it from giving what it brakes back');
  });

  test('no problem: radio and pack', () => {
    expect([radio(demo('lift6s'), [], []), pack(demo('lift6s'), [], [])].map(({ answer }) => answer.verdict)).toEqual(['good', 'good']);
  });
});

describe('TRK14S', () => {
  test('no problem: an ideal diode before a winch that brakes, since its brake resistor is behind it', () => {
    const found = item(overvoltage(demo('trk14s'), [], []).answer, 'winch controller T3 in the match');
    expect(found.verdict).toBe('good');
    const without = demoText('trk14s').replace(/^ {2}R2: .*\n/m, '').replace(/^ {2}dump: .*\n/m, '');
    const text = edited(without, { 'parts.T3.absolute voltage': '75 V' });
    const bare = item(overvoltage(studyOf(text), [], []).answer, 'winch controller T3 in the match');
    expect(bare.verdict).toBe('bad');
    expect(bare.says).toContain('ideal-diode module of the winch D1 keeps it from giving');
  });

  test('without that resistor one like it is advised, or the diode taken out', async () => {
    const without = demoText('trk14s').replace(/^ {2}R2: .*\n/m, '').replace(/^ {2}dump: .*\n/m, '');
    const advice = await expectAdviceToHold(edited(without, { 'parts.T3.absolute voltage': '75 V' }), 'overvoltage');
    expect(advice.map(({ what }) => what)).toEqual(['ideal-diode module of the winch D1 taken out of the way to winch controller T3', expect.stringMatching(/^a brake resistor R2 of 10 Ω at winch controller T3/)]);
  });

  test('but for a time only: the resistor is cool in the match, and too hot when the winch is lowered for minutes', () => {
    expect(item(heat(demo('trk14s'), [], []).answer, 'dump resistor').verdict).toBe('good');
    const long = demoText('trk14s').replace(/\nduty:\n[\s\S]*$/, '\nduty:\n  - { do: lower, at: 0 s, for: 180 s }\n');
    expect(item(heat(studyOf(long), [], []).answer, 'dump resistor').verdict).toBe('bad');
  });

  test('flaw: one pack alone is asked for more than its protection and its fuse hold for', () => {
    const { answer } = fuses(demo('trk14s'), [], demo('trk14s').loads());
    expect(item(answer, 'fuse of pack 1 F1 in the match').verdict).toBe('marginal');
  });
});

describe('KART16S', () => {
  test('flaw: the emergency stop opens everything while the motor brakes', () => {
    const found = item(opening(demo('kart16s'), []).answer, 'while braking');
    expect(found.verdict).toBe('bad');
    expect(found.where).toContain('K1');
    expect(found.parts).toContain('T1');
  });

  test('no problem: the fuse and its cable; it is marginal for want of a class only', () => {
    const lead = (text: string) => item(fuses(studyOf(text), []).answer, '35 mm² lead of pack');
    expect(lead(demoText('kart16s')).verdict).toBe('marginal');
    expect(lead(edited(demoText('kart16s'), { 'parts.F1.class': 'bolt-in large' })).verdict).toBe('good');
    // "Four minutes and more" from cold.
    for (const inside_C of [20, 40]) expect(jouleTime_s(cableLump(35, inside_C), inside_C, 160, 350)).toBeGreaterThan(4 * 60);
  });
});

describe('BOARD10S', () => {
  test('flaw: it brakes into a full pack', () => {
    const found = item(overvoltage(demo('board10s'), [], []).answer, 'cells of G1');
    expect(found.verdict).toBe('marginal');
    expect(found.says).toContain('Braking on a full pack over-charges it');
  });

  test('flaw: its switch opens while it brakes', () => {
    const found = item(opening(demo('board10s'), []).answer, 'while braking');
    expect(found.verdict).toBe('bad');
    expect(found.where).toContain('latching electronic switch Q1');
  });

  test('no problem: what its switch loses as heat', () => {
    expect(item(heat(demo('board10s'), [], []).answer, 'latching electronic switch Q1').verdict).toBe('good');
  });
});

describe('CRUSH10S', () => {
  test('no problem: its fuse at power-up', () => {
    const answers = [trip(demo('crush10s'), []).answer, fuses(demo('crush10s'), []).answer];
    for (const answer of answers) for (const { where, verdict } of answer.items.filter(({ slip, parts, where: at }) => !slip && parts.includes('F1') && /power-up|inrush|connect|closes|turned/.test(at))) expect(verdict, `${answer.id}: ${where}`).toBe('good');
    expect(answers[0]!.verdict).toBe('good');
  });

  test('no problem: radio, pack and voltages', () => {
    expect([radio(demo('crush10s'), [], []), pack(demo('crush10s'), [], []), overvoltage(demo('crush10s'), [], [])].map(({ answer }) => answer.verdict)).toEqual(['good', 'good', 'good']);
  });
});
