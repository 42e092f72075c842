import { describe, expect, test } from 'vitest';
import type { Answer } from '../../src/questions/answer.ts';
import { fuses } from '../../src/questions/fuses.ts';
import type { MatchLoads } from '../../src/questions/match-loads.ts';
import { protectedCables } from '../../src/questions/protected-cables.ts';
import { FaultCurrents } from '../../src/questions/states/fault-currents.ts';
import { external } from '../external.ts';
import { expectAdviceToHold } from './advice-round-trip.ts';
import { keepsTheRules } from './answer-rules.ts';
import { ALL_DEMOS, demoText, edited, machineOf, studyOf } from './machines.ts';

/** Ten cells of 5 mΩ at 25 °C, a fuse, a lead of 8 AWG to a controller and one of 18 AWG to a converter behind its own fuse. */
function fused(values: Readonly<Record<string, string>> = {}): string {
  return edited(
    `ampwright: 1
machine: FUSED
parts:
  G1: { kind: pack, chemistry: lipo, cells: 10, capacity: 8 Ah, cell resistance: 5 mΩ, full voltage: 4.2 V per cell }
  F1: { kind: fuse, rating: 100 A, class: bolt-in large, voltage: 80 V, resistance: 0.1 mΩ }
  F2: { kind: fuse, rating: 10 A, class: blade, voltage: 58 V, resistance: 0.1 mΩ }
  Q1: { kind: isolator, rating: 200 A, closed resistance: 0.1 mΩ, bounce: 0 s }
  T1: { kind: controller, motor current: 120 A, battery current: 80 A, capacitance: 2000 µF, series resistance: 10 mΩ, standby: 0 A }
  T2: { kind: converter, output: 12 V, running: 5 W, start: 9 V }
wiring:
  pack: from G1+, 8 AWG 0.10 m, F1, Q1, to bar
  drive: from bar, 8 AWG 0.50 m, to T1
  services: from bar, F2, 18 AWG 0.50 m, to T2
returns: all negatives on one bar, 0.001 mΩ a joint
surroundings: { ambient: 25 °C, inside: 25 °C }
procedure:
  - turn Q1 to ON
  - wait 2 s
match: 3 min
`,
    values,
  );
}

const of = (values: Readonly<Record<string, string>> = {}, match?: MatchLoads): Answer => fuses(studyOf(fused(values)), [], match).answer;

function item(answer: Answer, words: string) {
  const found = answer.items.find(({ where }) => where.includes(words));
  if (found === undefined) throw new Error(`no item ${words} in ${answer.items.map(({ where }) => where).join('; ')}`);
  return found;
}

/** NBS Handbook 100: 8 AWG 2.061 Ω/km, 18 AWG 20.95 Ω/km at 20 °C; 0.393 % a kelvin; 2 % for the lay. */
const lead_ohm = (ohm_km: number, length_m: number): number => 2 * 1e-3 * ohm_km * length_m * 1.02 * (1 + 0.00393 * 5);
const SOURCE_OHM = 10 * 5e-3 + 0.1e-3 + 0.1e-3 + lead_ohm(2.061, 0.1);
const SHORT_A = 42 / (SOURCE_OHM + lead_ohm(2.061, 0.5));

describe('a dead short', () => {
  const cables = protectedCables(new FaultCurrents(machineOf(fused())));
  const drive = cables.find(({ cable }) => cable.words === 'lead of drive')!;

  test('drives what the pack gives through leads, fuse and switch', () => {
    // Tolerance 1 %: joints of a micro-ohm and the short itself.
    external({ source: 'Ohm\'s law with NBS Handbook 100 resistances', what: 'short at the far end of 0.5 m of 8 AWG on 42 V and 50 mΩ', expected: SHORT_A, got: drive.short.current_A, unit: 'A', relative: 0.01 });
  });

  test('is cleared in the band of the last gates, with the same I²t beyond them', () => {
    const beyond = (6 / (drive.short.current_A / 100)) ** 2;
    external({ source: 'ISO 8820-5, gates of large bolt-in fuses: 0.1 to 1 s at six times the rating', note: 'from memory', what: 'earliest opening of 100 A in that short', expected: 0.1 * beyond, got: drive.short.earliest_s, unit: 's', relative: 1e-6 });
    external({ source: 'ISO 8820-5, gates of large bolt-in fuses: 0.1 to 1 s at six times the rating', note: 'from memory', what: 'latest opening of 100 A in that short', expected: beyond, got: drive.short.latest_s, unit: 's', relative: 1e-6 });
  });

  test('spoils the lead after (kS/I)²', () => {
    // Tolerance 3 %: in a second and a half a little heat leaves.
    external({ source: 'IEC 60364-4-43, Table 43A, k = 115', what: '8.37 mm² in that short from 70 °C', expected: ((115 * 8.366) / drive.short.current_A) ** 2, got: drive.short.spoilt_s, unit: 's', relative: 0.03 });
  });

  test('opens the fuse of the branch, and leaves the main one', () => {
    const services = cables.find(({ cable }) => cable.words === 'lead of services')!;
    expect(services.short.guards).toEqual(['F2']);
    expect(services.overload!.guards).toEqual(['F2']);
    expect(services.overload!.current_A).toBeCloseTo(20, 6);
    external({ source: 'ISO 8820-3, gates of blade fuses: 0.15 to 5 s at twice the rating', note: 'from memory', what: 'latest opening of 10 A at 20 A', expected: 5, got: services.overload!.latest_s, unit: 's', relative: 1e-9 });
  });
});

describe('holds, protects, interrupts, is selective', () => {
  test('a fuse that fits does all four', () => {
    const answer = of();
    expect(answer.items.filter(({ verdict }) => verdict !== 'good').map(({ where, says }) => `${where}: ${says}`)).toEqual([]);
    expect(item(answer, 'F1 and F2').says).toContain('F2 opens first');
    keepsTheRules(answer, 'fused');
  });

  test('a load of twice the rating for the whole match is too much for it, a fifth more is not sure', () => {
    expect(item(of({ 'parts.T1.battery current': '300 A' }), 'F1 in use').verdict).toBe('bad');
    expect(item(of({ 'parts.T1.battery current': '140 A' }), 'F1 in use').verdict).toBe('marginal');
  });

  test('a lead too thin for the main fuse is found, and a fuse of its own mends it', async () => {
    const thin = fused().replace('services: from bar, F2, 18', 'services: from bar, 18').split('\n').filter((line) => !/^ {2}F2:/.test(line)).join('\n');
    const answer = fuses(studyOf(thin), []).answer;
    expect(item(answer, 'lead of services').verdict).toBe('bad');
    expect(item(answer, 'lead of services').says).toContain('too late');
    const [own] = await expectAdviceToHold(thin, 'fuses');
    expect([own!.verdict, own!.what]).toEqual(['good', expect.stringContaining('at the beginning of services')]);
  });

  test('road-vehicle fuses for 32 V do not break 42 V', () => {
    expect(item(of({ 'parts.F2.voltage': '32 V' }), 'F2 against the full pack').verdict).toBe('bad');
    expect(item(of({ 'parts.F1.voltage': '42 V' }), 'F1 against the full pack').verdict).toBe('good');
  });

  test('a breaking capacity below the short-circuit current is bad, above it good', () => {
    expect(item(of({ 'parts.F1.breaking capacity': '400 A' }), 'F1 against a dead short').verdict).toBe('bad');
    expect(item(of({ 'parts.F1.breaking capacity': '2 kA' }), 'F1 against a dead short').verdict).toBe('good');
  });

  test('a branch fuse as large as the main one is not selective', () => {
    const answer = of({ 'parts.F2.rating': '100 A', 'parts.F2.class': 'bolt-in large' });
    expect(item(answer, 'F1 and F2').verdict).toBe('marginal');
  });

  test('without a fuse it says what protects the leads: nothing, and how long they last', () => {
    const bare = fused().replace('F1, Q1', 'Q1').replace('F2, 18', '18').split('\n').filter((line) => !/^ {2}F[12]:/.test(line)).join('\n');
    const { answer } = fuses(studyOf(bare), []);
    expect(answer.says).toContain('nothing protects the leads');
    expect(answer.verdict).toBe('marginal');
    // 18 AWG: 0.823 mm² at what the pack drives through it: (115·S·R/42 V)².
    const short_A = 42 / (SOURCE_OHM - 0.1e-3 + lead_ohm(20.95, 0.5));
    external({ source: 'IEC 60364-4-43, Table 43A, k = 115', what: '18 AWG without a fuse, dead short on 42 V', expected: ((115 * 0.823) / short_A) ** 2, got: item(answer, 'lead of services').figure!.value, unit: 's', relative: 0.03 });
    keepsTheRules(answer, 'bare');
  });
});

describe('returns that are written one by one', () => {
  test('leave no lead out, though the places have no negative of their own', () => {
    const own = fused().replace('returns: all negatives on one bar, 0.001 mΩ a joint', `returns:
  drive: from T1-, 8 AWG 0.60 m, to G1-
  services: from T2-, 18 AWG 0.60 m, to G1-`);
    const base = studyOf(own);
    const faults = new FaultCurrents(base.machine);
    expect(protectedCables(faults).map(({ cable }) => cable.words)).toEqual(faults.cables.map(({ words }) => words));
    const services = protectedCables(faults).find(({ cable }) => cable.words === 'return lead of services')!;
    expect(services.short.guards).toEqual(['F2']);
    keepsTheRules(fuses(base, []).answer, 'own returns');
  });
});

describe('a match, where one has been played', () => {
  const steady = (current_A: number): MatchLoads => ({ name: 'steady', currentThrough: (part) => (part === 'F1' ? { time_s: [0, 180], current_A: [current_A, current_A] } : undefined) });
  test.each([
    [60, 'good'],
    [400, 'bad'],
  ] as const)('of %d A for three minutes through 100 A is %s', (current_A, verdict) => {
    const answer = of({}, steady(current_A));
    expect(item(answer, 'F1 in the match').verdict).toBe(verdict);
    keepsTheRules(answer, 'match');
  });
});

describe('every demo machine', () => {
  for (const name of ALL_DEMOS)
    test(`${name}: each lead is cleared before its limit, or the answer says that it is not`, () => {
      const base = studyOf(demoText(name));
      const { answer } = fuses(base, []);
      keepsTheRules(answer, name);
      const guarded = [...base.machine.parts.values()].some(({ kind }) => kind === 'fuse' || kind === 'protection');
      for (const { cable, short, overload } of protectedCables(new FaultCurrents(base.machine))) {
        const own = item(answer, ` ${cable.words}`);
        for (const fault of [short, ...(overload === undefined ? [] : [overload])]) {
          // The limit by the book, not by ours; only for times so short that no heat leaves.
          const book_s = ((115 * cable.section_mm2) / fault.current_A) ** 2;
          if (book_s < 1) expect(Math.abs(fault.spoilt_s / book_s - 1), `${name} ${cable.words}`).toBeLessThan(0.06);
          if (fault.latest_s > 1.06 * Math.max(book_s, fault.spoilt_s)) {
            expect(own.verdict, `${name} ${cable.words}`).not.toBe('good');
            expect(own.says).toMatch(guarded ? /too late|nothing surely opens/ : /nothing surely opens/);
          }
        }
        if (own.verdict === 'good') for (const fault of [short, ...(overload === undefined ? [] : [overload])]) expect(fault.latest_s).toBeLessThanOrEqual(fault.spoilt_s);
      }
      const plots = answer.evidence.flatMap((one) => (one.type === 'plot' ? [one] : []));
      for (const plot of plots) expect([plot.x.log, plot.y.log, plot.curves.length > 0]).toEqual([true, true, true]);
      expect(plots.length).toBeGreaterThan(0);
    });

  for (const name of ALL_DEMOS)
    test(`${name}: each fuse is looked at in a dead short and at twice its rating, and stands with its leads in one picture`, () => {
      const base = studyOf(demoText(name));
      const { answer } = fuses(base, []);
      const own = [...base.machine.parts.values()].flatMap((part) => (part.kind === 'fuse' ? [part] : []));
      expect(own.length, 'only BAR3S goes without').toBe({ bar3s: 0, trk14s: 2 }[name as string] ?? 1);
      const cables = protectedCables(new FaultCurrents(base.machine));
      for (const { id, values } of own) {
        const behind = cables.filter(({ short, overload }) => short.guards.includes(id) || overload?.guards.includes(id) === true);
        const overloads = cables.flatMap(({ overload }) => (overload !== undefined && overload.guards.length === 1 && overload.guards[0] === id ? [overload] : []));
        // In the lead itself, from which other loads and returns take a little.
        for (const { current_A } of overloads) expect(Math.abs(current_A / (2 * values.rating.value) - 1)).toBeLessThan(0.01);
        for (const { cable, short, overload } of behind) {
          expect(overload, `${name} ${cable.words}`).toBeDefined();
          expect(short.current_A, `${name} ${cable.words}`).toBeGreaterThan(2 * values.rating.value);
        }
        const pictures = answer.evidence.flatMap((one) => (one.type === 'plot' && one.title.includes(` ${id} `) ? [one] : []));
        expect(pictures.length).toBe(1);
        const names = pictures[0]!.curves.map((one) => one.name);
        expect(names).toEqual(expect.arrayContaining([`${id} at the earliest`, `${id} at the latest`]));
        if (behind.length > 0) expect(names.some((one) => one.endsWith('is spoilt'))).toBe(true);
        expect(pictures[0]!.thresholds.some((one) => one.name.startsWith('dead short'))).toBe(true);
      }
    });

  test('advice that is given holds in the edited file', async () => {
    await expectAdviceToHold(demoText('crush10s'), 'fuses');
  });
});
