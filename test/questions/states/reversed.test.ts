import { describe, expect, it } from 'vitest';
import { failuresOf, type Failure } from '../../../src/machine/network/failures.ts';
import { buildNetwork } from '../../../src/machine/network/network.ts';
import { Setting } from '../../../src/machine/network/situation.ts';
import { effectVerdict, effectWords } from '../../../src/questions/faults.ts';
import { limitsOf } from '../../../src/questions/soft-start-heat.ts';
import { FailureStudy, type Effect } from '../../../src/questions/states/failure-effects.ts';
import { external } from '../../external.ts';
import { branchesFile } from '../branches.ts';
import { ALL_DEMOS, demoText, machineOf } from '../machines.ts';

/** One controller on a pack through a joint; 25 °C, so that a stated resistance is what there is. */
const ONE = (parts: string, wiring: string): string => `ampwright: 1
machine: ONE
parts:
  G1: { kind: pack, chemistry: lipo, cells: 10, capacity: 8 Ah, cell resistance: 2 mΩ, full voltage: 4.2 V per cell }
  Q1: { kind: isolator, closed resistance: 0.5 mΩ }
  T1: { kind: controller, motor current: 120 A, logic start: 8 V }
  R9: { kind: bleed, resistance: 10 kΩ }
${parts}
wiring:
${wiring}
returns: all negatives on one bar, 0.1 mΩ each
surroundings: { inside: 25 °C }
procedure:
  - close Q1
`;
const BOLTED = ONE('  X1: { kind: joint, form: lug, resistance: 0.1 mΩ }', '  drive: from G1+, X1, Q1, 6 mm² 1.00 m, to T1\n  bleed: from T1, to R9');

function study(text: string): FailureStudy {
  const machine = machineOf(text);
  return new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor));
}

function effectOf(text: string, words: string): Effect {
  const studied = study(text);
  const failure = studied.failures.find((one) => one.words === words);
  if (failure === undefined) throw new Error(`no failure “${words}” among ${studied.failures.map((one) => one.words).join(', ')}`);
  return studied.worstOf([failure]);
}

const reversedIn = (text: string): string[] => failuresOf(buildNetwork(machineOf(text))).filter(({ mode }) => mode === 'reversed').map(({ words }) => words);

describe('what can be connected the wrong way round', () => {
  it('is what hangs on lugs, screw terminals and connectors that say they are not polarised, diodes, and converters', () => {
    expect(reversedIn(BOLTED)).toEqual(['joint X1 the wrong way round, and so G1']);
    expect(reversedIn(BOLTED.replace('form: lug', 'form: screw terminal'))).toHaveLength(1);
    expect(reversedIn(BOLTED.replace('form: lug, ', ''))).toEqual([]);
    expect(reversedIn(BOLTED.replace('form: lug', 'form: splice'))).toEqual([]);
    const plug = ONE('  X1: { kind: connector }', '  drive: from G1+, X1, Q1, 6 mm² 1.00 m, to T1\n  bleed: from T1, to R9');
    expect(reversedIn(plug)).toEqual([]);
    expect(reversedIn(plug.replace('kind: connector', 'kind: connector, polarised: yes'))).toEqual([]);
    expect(reversedIn(plug.replace('kind: connector', 'kind: connector, polarised: no'))).toEqual(['connector X1 the wrong way round, and so G1']);
    const diodes = reversedIn(branchesFile(2, { softStart: 'shared with diodes' }));
    expect(diodes).toEqual(expect.arrayContaining(['diode D1 the wrong way round', 'diode D2 the wrong way round', 'converter T90 the wrong way round']));
  });

  it('is no converter behind a polarised connector', () => {
    const text = branchesFile(1).replace('18 AWG 0.40 m, to T90', 'X9, 18 AWG 0.40 m, to T90').replace('  T90:', '  X9: { kind: connector }\n  T90:');
    expect(reversedIn(text)).toEqual([]);
    expect(reversedIn(text.replace('X9: { kind: connector }', 'X9: { kind: connector, polarised: no }'))).toEqual(['connector X9 the wrong way round, and so T90', 'converter T90 the wrong way round']);
  });

  it('is a load whose own two wires lie on lugs', () => {
    expect(reversedIn(ONE('  X2: { kind: joint, form: lug }\n  X1: { kind: connector }', '  pack: from G1+, X1, Q1, to bar\n  drive: from bar, 6 mm² 1.00 m, X2, to T1\n  bleed: from T1, to R9'))).toEqual(['joint X2 the wrong way round, and so T1']);
  });
});

describe('a pack connected the wrong way round', () => {
  const effect = effectOf(BOLTED, 'joint X1 the wrong way round, and so G1');

  it('is shorted by the body diodes of the controller: Kirchhoff and Shockley by hand', () => {
    const [controller] = effect.reversed;
    expect(controller!.part).toBe('T1');
    const amps = controller!.diodes_A!;
    // Two half bridges of 120 A, each of two diodes in a row: 0.9 V at a third of the rating, emission coefficient 1.7,
    // 0.15 V of ohmic drop at the rating. Thermal voltage at 25 °C: 25.69 mV.
    const slope = 1.7 * 25.69e-3;
    const each_ohm = 0.15 / 120;
    const saturation = 40 * Math.exp(-(0.9 - 40 * each_ohm) / slope);
    external({
      source: 'W. Shockley, Bell System Technical Journal 28 (1949) 435: i = Is·(exp(u/nVt) − 1)',
      what: `two pairs of body diodes at ${Math.round(amps)} A in all`,
      expected: 2 * (slope * Math.log(amps / 2 / saturation + 1) + (each_ohm * amps) / 2), got: controller!.volts_V, unit: 'V', relative: 0.002,
    });
    // 10 cells of 4.2 V and 2 mΩ, 0.1 and 0.5 mΩ of contacts, 1 m of 6 mm² out and back at 25 °C, 0.1 mΩ.
    const lead_ohm = (1 / 58e6 / 6e-6) * (1 + 3.93e-3 * 5);
    const ohm = 20e-3 + 0.6e-3 + 2 * lead_ohm + 0.1e-3;
    external({
      source: 'Kirchhoff’s voltage law; IEC 60028:1925: annealed copper 1/58 Ω·mm²/m at 20 °C, 0.00393 /K',
      what: '42 V through 26.6 mΩ into the body diodes of a controller',
      expected: 42, got: amps * ohm + controller!.volts_V, unit: 'V', relative: 0.01, note: 'stranded leads have some 2 % more than solid ones',
    });
  });

  it('is the gravest of its kind, said with voltage, current and what melts', () => {
    expect(effect.consequence).toBe('reversed');
    expect(effectVerdict(effect)).toBe('bad');
    expect(effectWords(machineOf(BOLTED), effect)).toMatch(/^T1 has [\d.]+ V across it the wrong way round, and the body diodes of its transistors carry 1\.\d kA; 1\.\d kA flow in (return )?lead of drive, which is at 160 °C within/);
  });

  it('does less on the soft start, whose resistor lets a little through, and is then noticed', () => {
    const text = demoText('crush10s').replace('about: pack connector', 'about: pack connector, polarised: no');
    const studied = study(text);
    const failure = studied.failures.find((one) => one.mode === 'reversed' && one.part === 'X1')!;
    const charging = studied.states.find(({ words }) => words.includes('Q1 to CHARGE'))!;
    const soft = studied.effect([failure], charging, false)!;
    const full = studied.worstOf([failure]);
    expect(soft.reversed[0]!.diodes_A!).toBeLessThan(1);
    expect(soft.noticed).toBe('nothing starts');
    expect(full.reversed[0]!.diodes_A!).toBeGreaterThan(100);
  });

  it('beside another pack draws from it what both have, until a protection opens', () => {
    const text = demoText('trk14s').replace('about: connector of pack 1', 'about: connector of pack 1, polarised: no');
    const both = effectOf(text, 'connector X1 the wrong way round, and so G1');
    expect(both.strains.some(({ guard, current_A }) => guard && current_A > 500)).toBe(true);
  });
});

describe('a load connected the wrong way round', () => {
  it('shorts its feed through its body diodes where its wires are swapped, as a swapped pack does', () => {
    const swapped = ONE('  X2: { kind: joint, form: lug, resistance: 0.1 mΩ }\n  X1: { kind: connector, closed resistance: 0.1 mΩ }', '  drive: from G1+, X1, Q1, to bar\n  last: from bar, 6 mm² 1.00 m, X2, to T1\n  bleed: from T1, to R9');
    const load = effectOf(swapped, 'joint X2 the wrong way round, and so T1').reversed.find(({ part }) => part === 'T1')!;
    const pack = effectOf(BOLTED, 'joint X1 the wrong way round, and so G1').reversed.find(({ part }) => part === 'T1')!;
    expect(Math.abs(load.diodes_A! / pack.diodes_A! - 1)).toBeLessThan(0.03);
  });

  it('a diode the wrong way round in the only way to a load keeps it dark', () => {
    expect(effectOf(demoText('lift6s'), 'diode D1 the wrong way round').dark).toContain('T3');
  });
});

describe('motors and brake resistors that fail', () => {
  it('a winding that is open or shorted lets nothing move, and the crew sees it', () => {
    const text = branchesFile(1);
    for (const words of ['winding of M1 open', 'winding of M1 shorted']) {
      const studied = study(text);
      const failure = studied.failures.find((one) => one.words === words)!;
      const effect = studied.effect([failure], studied.states.findLast(({ slip }) => !slip)!, false)!;
      expect(effect.noticed).toBe('nothing starts');
    }
  });

  it('a shorted winding burns what feeds it only where the controller does not hold its motor current', () => {
    const free = branchesFile(1).replace('motor current: 120 A', 'motor current: 120 A, limits current: no');
    expect(effectOf(free, 'winding of M1 shorted').strains.map(({ current_A }) => current_A > 500)).toContain(true);
    expect(effectOf(branchesFile(1), 'winding of M1 shorted').strains).toEqual([]);
  });

  it('a brake resistor whose switch stays closed warms until it is spoilt: one lump by hand', () => {
    // 58.8 V on 10 Ω are 345 W; 4 K/W and 50 J/K, from 40 to 250 °C: t = −RC·ln(1 − rise/(P·R)).
    const text = ONE('  R2: { kind: brake resistor, resistance: 10 Ω, power: 50 W, on: 62 V, thermal resistance: 4 K/W, heat capacity: 50 J/K, limit temperature: 250 °C }\n  X1: { kind: connector, closed resistance: 0.1 mΩ }', '  drive: from G1+, X1, Q1, 6 mm² 1.00 m, to T1\n  dump: from T1, to R2\n  bleed: from T1, to R9');
    const effect = effectOf(text, 'switch of brake resistor R2 shorted');
    const strain = effect.strains.find(({ part }) => part === 'R2')!;
    const watts = 10 * strain.current_A ** 2;
    expect(watts).toBeGreaterThan(170);
    external({ source: 'closed form of one heated lump with a loss to air, τ = R·C', what: `50 J/K and 4 K/W at ${watts.toFixed(0)} W, from 25 to 250 °C`, expected: -4 * 50 * Math.log(1 - 225 / (4 * watts)), got: strain.within_s, unit: 's', relative: 1e-6 });
    expect(effect.consequence).toBe('burns');
  });
});

describe('a key switch that is welded', () => {
  // In the lead of a small resistor too, for what a load waits for has to stand in a chain.
  const keyed = (switchWords: string): string => ONE(`  S1: { kind: isolator }\n  R8: { kind: bleed, resistance: 1 MΩ }\n  X1: { kind: connector }`, `  drive: from G1+, X1, Q1, 6 mm² 1.00 m, to T1\n  bleed: from T1, to R9\n  sense: from T1, ${switchWords.startsWith('waits') ? 'S1, ' : ''}20 AWG 0.10 m, to R8`)
    .replace('logic start: 8 V', `logic start: 8 V, ${switchWords}`).replace('  - close Q1', '  - close Q1\n  - close S1');

  it.each(['key switch: S1', 'waits for: S1'])('with “%s” wakes its controller with the key off, and one that is open keeps it asleep', (words) => {
    const welded = effectOf(keyed(words), 'isolator S1 welded');
    expect({ moves: welded.moves, noticed: welded.noticed, state: welded.state.words }).toEqual({ moves: ['T1'], noticed: 'not at all', state: 'after “close Q1”' });
    const open = effectOf(keyed(words), 'isolator S1 open');
    expect({ dark: open.dark, noticed: open.noticed }).toEqual({ dark: ['T1'], noticed: 'nothing starts' });
  });

  it('changes nothing where the key is on, or nothing feeds the controller', () => {
    const studied = study(keyed('key switch: S1'));
    const failure = studied.failures.find((one) => one.words === 'isolator S1 welded')!;
    const [dead, , on] = studied.states;
    expect(dead!.words).toBe('before the first step');
    expect(studied.effect([failure], dead!, false)?.wakes ?? []).toEqual([]);
    expect(studied.effect([failure], on!, false)?.wakes ?? []).toEqual([]);
  });
});

describe('reverse leakage', () => {
  const soft = (inside: string): string => branchesFile(2, { softStart: 'shared with diodes' }).split('\n').filter((line) => !/lamp|bleed/.test(line)).join('\n')
    .replace(/kind: diode, rating: 3 A/g, 'kind: diode, rating: 3 A, leakage: 0.2 mA').replace('procedure:', `surroundings: { inside: ${inside} }\nprocedure:`);

  /** Current that a dead load could draw over the diodes of a shared soft start, A. */
  function leaked(inside: string): number {
    const network = buildNetwork(machineOf(soft(inside)));
    const setting = new Setting(network, network.inputs.nominal());
    const positions = Uint8Array.from(network.rows, ({ part }) => (part === 'Q1' ? 1 : 0));
    setting.set({ positions, present: Uint8Array.from(network.sources, ({ kind }) => (kind === 'pack' ? 1 : 0)) });
    expect(setting.settle()).toBe(true);
    const strand = network.strands.findIndex(({ strand: one }) => one.diode === 'D1');
    return -setting.strandCurrent(strand);
  }

  it('doubles for every ten kelvins inside the machine', () => {
    const at = { 25: leaked('25 °C'), 35: leaked('35 °C'), 65: leaked('65 °C') };
    const source = 'a diode’s reverse leakage doubles every 10 K: common practice, no source';
    external({ source, what: 'a blocking diode of 0.2 mA in a soft start, 35 °C over 25 °C', expected: 2, got: at[35] / at[25], unit: '', relative: 0.15, note: 'the sleeping load behind it takes a little of the voltage' });
    external({ source, what: 'a blocking diode of 0.2 mA in a soft start, 65 °C over 25 °C', expected: 16, got: at[65] / at[25], unit: '', relative: 0.3, note: 'the sleeping load behind it takes some of the voltage' });
  });
});

describe('every failure of every demo', () => {
  it.each(ALL_DEMOS)('%s: has a state of rest, alone and with every other one, in the states of the procedure', (name) => {
    const studied = study(demoText(name));
    const states = studied.states.filter(({ slip }) => !slip);
    const unsolved: string[] = [];
    const look = (failures: readonly Failure[]): void => {
      const before = studied.unsolved;
      studied.worstOf(failures, states);
      if (studied.unsolved > before) unsolved.push(failures.map(({ words }) => words).join(' + '));
    };
    studied.failures.forEach((first, k) => {
      look([first]);
      for (const second of studied.failures.slice(k + 1)) if (second.part !== first.part) look([first, second]);
    });
    expect(unsolved).toEqual([]);
  });
});
