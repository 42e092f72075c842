import { describe, expect, it } from 'vitest';
import { readyMadeDuty } from '../../../src/machine/duty/ready-made.ts';
import { fightSamples } from '../../../src/machine/match/spread.ts';
import type { MatchRecord } from '../../../src/machine/match/record.ts';
import { sampler } from '../../../src/quantity/random.ts';
import { demoMatch, dutyOf, fought, heatOf, matchOf, plain } from './machines.ts';

// What must hold of every machine, whatever its numbers. Each law has its argument; samples are seeded.

const held = dutyOf('{ do: stall, with: M1, at: 0 s, for: 100 s }');
const some = (seed: number, low: number, high: number): number => low * (high / low) ** sampler(5, seed)();
const heldFor = (text: string, length_s = 20): MatchRecord => fought(matchOf(text), { duty: held, length_s });
/** A held motor behind a lead and a pack of some resistance. */
const source = (lead: string, cell_mohm: number, current: number, rest: { readonly motor?: string; readonly connector?: string } = {}): string =>
  plain({ lead, ...rest }).replace('cell resistance: 1e-3 mΩ', `cell resistance: ${cell_mohm} mΩ`).replace('motor current: 200 A', `motor current: ${current} A`);

describe.each([1, 2, 3])('seed %i', (seed) => {
  const current = Math.round(some(seed, 30, 120));
  const cell = some(seed + 10, 0.5, 4);

  it('more source resistance never raises the lowest voltage: the held motor takes the same power', () => {
    const [firm, soft] = [cell, 1.5 * cell].map((ohm) => heldFor(source('10 mm² 0.2 m', ohm, current)).packs[0]!.lowest.value);
    expect(soft).toBeLessThan(firm!);
  });

  it('a thicker wire of the same length is never hotter: the same current, less resistance, more surface and metal', () => {
    const [thin, thick] = ['4 mm² 0.3 m', '10 mm² 0.3 m'].map((lead) => heatOf(heldFor(source(lead, cell, current)), 'only#0').hottest.value);
    expect(thick).toBeLessThan(thin!);
  });

  it('a longer wire is no cooler, for each metre warms by itself, and costs voltage', () => {
    const [short, long] = ['10 mm² 0.2 m', '10 mm² 0.6 m'].map((lead) => heldFor(source(lead, cell, current)));
    expect(heatOf(long!, 'only#0').hottest.value).toBeGreaterThan(heatOf(short!, 'only#0').hottest.value - 0.2);
    expect(long!.controllers[0]!.lowest.value).toBeLessThan(short!.controllers[0]!.lowest.value);
  });

  it('a bundled wire is never cooler than one alone: less surface', () => {
    const [alone, bundled] = ['4 mm² 0.3 m', '4 mm² 0.3 m bundled'].map((lead) => heatOf(heldFor(source(lead, cell, current), 120), 'only#0').hottest.value);
    expect(bundled).toBeGreaterThan(alone!);
  });

  it('a lower motor current limit never gives a hotter winding: its heat is i²R', () => {
    const [low, high] = [current, 1.3 * current].map((limit) => heatOf(heldFor(source('10 mm² 0.2 m', cell, limit, { motor: '' }).replace('winding heat capacity: 1e6', 'winding heat capacity: 50')), 'M1').hottest.value);
    expect(low).toBeLessThan(high!);
  });

  it('the same stall for longer never ends cooler nor takes less charge', () => {
    const [brief, longer] = [10, 20].map((length) => heldFor(source('10 mm² 0.2 m', cell, current), length));
    expect(longer!.packs[0]!.used_C).toBeGreaterThan(brief!.packs[0]!.used_C);
    expect(heatOf(longer!, 'X1').hottest.value).toBeGreaterThanOrEqual(heatOf(brief!, 'X1').hottest.value);
  });

  it('hotter air inside never ends cooler: every lump loses to it', () => {
    const [mild, hot] = ['25 °C', '45 °C'].map((air) => heldFor(source('10 mm² 0.2 m', cell, current).replace('inside: 25 °C', `inside: ${air}`)));
    for (const heat of mild!.heats) expect(heatOf(hot!, heat.where).hottest.value).toBeGreaterThan(heat.hottest.value - 1e-3);
  });

  it('more capacity never ends emptier: the same power, a larger store', () => {
    const [small, large] = ['5 Ah', '8 Ah'].map((capacity) => heldFor(source('10 mm² 0.2 m', cell, current).replace('100 Ah', capacity)).packs[0]!.chargeAtEnd);
    expect(large).toBeGreaterThan(small!);
  });

  it('a colder pack never holds its voltage better: its resistance rises', () => {
    const [cold, warm] = ['5 °C', '25 °C'].map((at) => heldFor(source('10 mm² 0.2 m', cell, current).replace('temperature: 25 °C, weakest', `temperature: ${at}, weakest`)).packs[0]!.lowest.value);
    expect(cold).toBeLessThan(warm!);
  });

  it('a weaker weakest cell is never higher: it has less charge and more resistance', () => {
    const [even, uneven] = [source('10 mm² 0.2 m', cell, current), source('10 mm² 0.2 m', cell, current).replace('weakest capacity: 100 %, weakest resistance: 1', 'weakest capacity: 85 %, weakest resistance: 1.8')].map((text) => heldFor(text).packs[0]!.cellLowest.value);
    expect(uneven).toBeLessThan(even!);
  });

  it('an efficient controller never takes more from the pack for the same motor current', () => {
    const [poor, good] = ['85 %', '98 %'].map((share) => heldFor(source('10 mm² 0.2 m', cell, current).replace('efficiency: 100 %', `efficiency: ${share}`)).packs[0]!.used_C);
    expect(good).toBeLessThan(poor!);
  });

  it('a receiver with a higher reset voltage is never lost for less long: the rail is the same', () => {
    const text = (reset: number): string => source('10 mm² 0.2 m', 10, 190).replace('wiring:', `  T2: { kind: regulator, output: 5 V, drop out: 15 V, idle: 0 A }\n  K1: { kind: receiver, current: 50 mA, reset: ${reset} V, recovers: 4.4 V, bears: 5 ms, come back: 1 s }\nwiring:\n  supply: from T1, to T2\n  radio: from T2 out, to K1`);
    const [low, high] = [3, 4.2].map((reset) => heldFor(text(reset), 8).radios[0]!);
    expect(high!.losses.length).toBeGreaterThanOrEqual(low!.losses.length);
    expect(high!.lowest.value).toBeLessThan(4.2);
  });

  it('the same seed gives the same match to the last bit, another seed another one', () => {
    const match = demoMatch('kart16s');
    const [one, again, other] = [seed, seed, seed + 1].map((s) => fought(match, { seed: s }));
    expect(again).toEqual(one);
    expect(other!.packs[0]!.used_C).not.toBe(one!.packs[0]!.used_C);
  });

  it('samples are the same in one piece and in several, as threads cut them', () => {
    const match = demoMatch('kart16s');
    const duty = match.machine.duty;
    const whole = fightSamples(match, duty, seed, [0, 1, 2, 3]);
    const pieces = [[3], [1, 2], [0]].flatMap((piece) => fightSamples(match, duty, seed, piece)).sort((a, b) => a.sample - b.sample);
    expect(pieces).toEqual(whole);
  });

  it('duties from gentle to brutal take more and more: each asks for more, more often', () => {
    const match = demoMatch('crush10s');
    const used = ['gentle', 'usual', 'hard', 'brutal'].map((name) => fought(match, { seed, duty: readyMadeDuty(name)! }).packs[0]!.used_C);
    expect([...used].sort((a, b) => a - b)).toEqual(used);
  });

  it('a tight run closes its balance of energy within ten times its tolerance', () => {
    const record = fought(demoMatch('bar3s'), { seed, tolerance: 1e-7 });
    expect(record.energy.imbalance).toBeLessThan(1e-6);
  });
});
