import { lusolve } from 'mathjs';
import { describe, expect, it, test } from 'vitest';
import { buildNetwork } from '../../src/machine/network/network.ts';
import { failuresOf } from '../../src/machine/network/failures.ts';
import { kindOf } from '../../src/machine/parts.ts';
import { faults } from '../../src/questions/faults.ts';
import { limitsOf } from '../../src/questions/soft-start-heat.ts';
import { FailureStudy, type Effect } from '../../src/questions/states/failure-effects.ts';
import { external } from '../external.ts';
import { branchesFile } from './branches.ts';
import { ALL_DEMOS, demoText, machineOf, studyOf } from './machines.ts';

function failureStudy(text: string): FailureStudy {
  const machine = machineOf(text);
  return new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor));
}

/** The failure with these words at its worst. */
function worst(studied: FailureStudy, words: string): Effect {
  const found = studied.failures.filter((one) => one.words === words);
  if (found.length !== 1) throw new Error(`${found.length} failures “${words}”, of ${studied.failures.map((one) => one.words).join(', ')}`);
  return studied.worstOf(found);
}

describe('a lost main return of CRUSH10S', () => {
  const studied = failureStudy(demoText('crush10s'));
  const { strains, state, consequence } = worst(studied, 'return of T1 lost');
  const currentIn = (part: string): number => strains.find((one) => one.part === part)!.current_A;

  it('sends the motor current over the signal grounds, divided as their resistances say', () => {
    expect({ state: state.words, consequence }).toEqual({ state: 'at full drive', consequence: 'burns' });
    // The negative side by hand: gauge by ASTM B258, copper by IEC 60028 at 40 °C, joints of 0.2 mΩ as the file says.
    const awg_mm2 = (n: number): number => (Math.PI / 4) * (0.127 * 92 ** ((36 - n) / 39)) ** 2;
    const lead = (n: number, m: number): number => (((m / 58) * (1 + 0.00393 * 20)) / awg_mm2(n));
    const joint = 0.2e-3;
    const signal = lead(24, 0.4);
    const nodes = ['T1', 'T2', 'T4', 'K1', 'T3', 'drive'];
    const edges: [string, string, number][] = [
      ['T1', 'K1', signal], ['T2', 'K1', signal], ['T4', 'K1', signal],
      ['T2', 'drive', joint], ['T3', 'drive', lead(18, 0.4) + joint], ['K1', 'T3', 2 * joint],
      ['drive', 'bar', lead(8, 0.5) + joint], ['T4', 'bar', lead(10, 0.6) + joint],
    ];
    const matrix = nodes.map(() => nodes.map(() => 0));
    for (const [a, b, ohm] of edges)
      for (const [x, y] of [[a, b], [b, a]] as const) {
        const i = nodes.indexOf(x);
        const j = nodes.indexOf(y);
        if (i >= 0) matrix[i]![i]! += 1 / ohm;
        if (i >= 0 && j >= 0) matrix[i]![j]! -= 1 / ohm;
      }
    // Battery currents as the file has them, with the controllers' standby and the converter's 7 W at 42 V.
    const into: Record<string, number> = { T1: 80.045, T2: 80.045, T4: 60.045, T3: 7 / 42 };
    const volts = (lusolve(matrix, nodes.map((node) => into[node] ?? 0)) as number[][]).map(([v]) => v!);
    const at = (node: string): number => volts[nodes.indexOf(node)] ?? 0;
    const source = 'Kirchhoff’s laws on the negative side, solved by mathjs lusolve; ASTM B258 gauges, IEC 60028 copper';
    // Fine strands are two per cent longer than the lead, which shifts the division a little; the joints are not.
    const note = 'lay of the strands is left out by hand';
    external({ source, what: 'CRUSH10S, return of T1 lost, current in its signal ground', expected: (at('T1') - at('K1')) / signal, got: currentIn('left'), unit: 'A', relative: 0.005, note });
    external({ source, what: 'the same, in the signal ground of the arm', expected: (at('K1') - at('T4')) / signal, got: currentIn('arm'), unit: 'A', relative: 0.02, note });
    external({ source, what: 'the same, in the signal ground of the right drive', expected: (at('K1') - at('T2')) / signal, got: currentIn('right'), unit: 'A', relative: 0.02, note });
    external({ source, what: 'the same, in the return of the services', expected: (at('T3') - at('drive')) / (lead(18, 0.4) + joint), got: currentIn('services return'), unit: 'A', relative: 0.02, note });
  });

  it('spoils that lead in the time of the adiabatic formula and melts it in Onderdonk’s', () => {
    const hot = strains[0]!;
    expect(hot.words).toBe('signal ground lead of left');
    const mm2 = (Math.PI / 4) * (0.127 * 92 ** (12 / 39)) ** 2;
    external({
      source: 'IEC 60949:1988, t = (K·S/I)²·ln((θf + β)/(θi + β)), K = 226 A·s½/mm², β = 234.5 K for copper (table I); ASTM B258 for 24 AWG',
      what: '24 AWG at 80.045 A from 40 °C to 160 °C',
      expected: ((226 * mm2) / 80.045) ** 2 * Math.log((160 + 234.5) / (40 + 234.5)),
      got: hot.within_s, unit: 's', relative: 0.01, note: 'heat given to the air is left out by hand',
    });
    const milsAcross = (0.127 * 92 ** (12 / 39)) / 0.0254;
    external({
      source: 'I. M. Onderdonk in E. R. Stauffacher, General Electric Review, 1928: 33·(I/A)²·t = log₁₀(1 + (1083 − θ)/(234 + θ)), A in circular mils',
      what: '24 AWG at 80.045 A from 40 °C, melts',
      expected: (Math.log10(1 + (1083 - 40) / (234 + 40)) * milsAcross ** 4) / (33 * 80.045 ** 2),
      got: hot.melts_s!, unit: 's', relative: 0.005, note: 'melting point 1083 or 1085 °C',
    });
  });

  it('is told in words with current, temperature and time', () => {
    const { answer } = faults(studyOf(demoText('crush10s')), []);
    expect(answer.items.find((item) => item.where.startsWith('return of T1 lost'))?.says).toMatch(/^80 A flow in signal ground lead of left, which is at 160 °C within 0\.12 s and melts after 0\.53 s/);
    expect(answer.verdict).toBe('bad');
  });
});

describe('what a failure does', () => {
  it('a shorted blocking diode on a shared soft start wakes the other branch, and nothing tells', () => {
    const dark = branchesFile(2, { softStart: 'shared with diodes' }).split('\n').filter((line) => !/lamp/.test(line)).join('\n');
    const shorted = worst(failureStudy(dark), 'diode D1 shorted');
    expect({ moves: shorted.moves, noticed: shorted.noticed, consequence: shorted.consequence }).toEqual({ moves: ['T2'], noticed: 'not at all', consequence: 'can move' });
    // Whole diodes wake nothing: what else lets a branch move is a switch that closes by itself, or a diode that leaks or was fitted the wrong way round.
    const others = failureStudy(dark);
    const moving = others.failures.filter((one) => others.worstOf([one]).consequence === 'can move').map((one) => one.words);
    expect(moving.sort()).toEqual(['S1 stuck pressed', 'diode D1 leaky', 'diode D1 shorted', 'diode D1 the wrong way round', 'diode D2 leaky', 'diode D2 shorted', 'diode D2 the wrong way round', 'isolator Q1 welded', 'isolator Q2 welded']);
  });

  const welded = (parts: string, wiring: string, noticed: string): void => {
    const text = `ampwright: 1
machine: WELDED
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah }
  T1: { kind: controller, motor current: 100 A, drives: M1 }
  M1: { kind: motor, torque constant: 0.02 Nm/A, resistance: 20 mΩ }
${parts}
wiring:
  pack: from G1+, 8 AWG 0.2 m, to bar
${wiring}
returns: all negatives on one bar
procedure:
  - close Q1
power down:
  - open Q1
`;
    const effect = worst(failureStudy(text), `${/kind: (\w+)/.exec(parts)![1]!} Q1 welded`);
    expect({ consequence: effect.consequence, moves: effect.moves, noticed: effect.noticed }).toEqual({ consequence: 'can move', moves: ['T1'], noticed });
  };
  const drive = '  drive: from bar, Q1, 8 AWG 0.4 m, to T1';

  it('a welded isolator is noticed by a lamp where one stands behind it', () => {
    welded('  Q1: { kind: isolator }\n  P1: { kind: lamp, resistance: 4.7 kΩ }', `${drive}\n  lamp: from T1, to P1`, 'by a lamp');
  });
  it('a welded contactor by its mirror contact', () => {
    welded('  Q1: { kind: contactor, rating: 200 A, mirror contact: yes }', drive, 'by its mirror contact');
  });
  it('and a welded isolator without either by nothing', () => {
    welded('  Q1: { kind: isolator }', drive, 'not at all');
  });

  it('a regulator shorted lets its input through: a receiver made for 5 V stands at 12', () => {
    const studied = failureStudy(demoText('crush10s'));
    const { network } = studied;
    const failure = studied.failures.find((one) => one.words === 'regulator T5 shorted')!;
    const volts = studied.voltagesIn([failure], studied.full);
    const receiver = network.loads.findIndex((load) => load.part === 'K1');
    // The converter’s 12 V less its lead and 0.05 Ω at 90 mA.
    expect(volts![receiver]).toBeGreaterThan(11.8);
    expect(volts![receiver]).toBeLessThan(12.05);
    expect(studied.voltagesIn([], studied.full)![receiver]).toBeCloseTo(5, 1);
  });

  it('failures that change nothing are counted: with those that do they are all', () => {
    for (const name of ALL_DEMOS) {
      const { answer } = faults(studyOf(demoText(name)), []);
      const table = answer.evidence.find((one) => one.type === 'table')!;
      const silent = table.rows.filter(([, does]) => does === 'nothing seen').length;
      const failures = failuresOf(buildNetwork(machineOf(demoText(name)))).length;
      expect(table.rows).toHaveLength(failures);
      expect(answer.basis.join(' ')).toContain(`${failures} failures, one at a time`);
      expect(answer.basis.join(' ')).toContain(`${silent} of them change nothing`);
    }
  });
});

/** Modes that the circuit at rest has nothing to say about, and why. */
const BEYOND: Readonly<Record<string, string>> = {
  'isolator stuck': 'without a position that leads through a resistor it is a welded one',
  'connector reversed': 'it is polarised unless the file says otherwise',
  'joint reversed': 'it is a splice unless the file says otherwise',
};

test.each(ALL_DEMOS)('%s: every part and every failure mode of its kind is among the failures, or there is a reason', (name) => {
  const machine = machineOf(demoText(name));
  const failures = failuresOf(buildNetwork(machine));
  const missing = [...machine.parts.values()].flatMap((part) =>
    (kindOf(part.kind)?.failureModes ?? []).flatMap((mode) => (failures.some((one) => one.part === part.id && one.mode === mode) ? [] : [`${part.kind} ${mode}`])));
  expect(missing.filter((one) => BEYOND[one] === undefined)).toEqual([]);
  expect(new Set(failures.map((one) => one.words)).size).toBe(failures.length);
});
