import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { failuresOf } from '../../../src/machine/network/failures.ts';
import { isolation } from '../../../src/questions/isolation.ts';
import { everyFailure } from '../../../src/questions/states/every-failure.ts';
import { feedingPath } from '../../../src/questions/states/feeding-path.ts';
import { CLASSES } from '../../../src/questions/states/load-class.ts';
import { asking, presentSources, startPositions, stateDetail, stateTable, type Asking } from '../../../src/questions/states/state-table.ts';
import type { Surveyed } from '../../../src/questions/states/surveyed.ts';
import { external } from '../../external.ts';
import { branchesFile } from '../branches.ts';
import { machineOf, studyOf } from '../machines.ts';

const machineFile = (name: string): string => readFileSync(new URL(`../../../machines/${name}.yaml`, import.meta.url), 'utf8');
const packsIn = ({ network }: Asking): Uint8Array => presentSources(network.sources, [], []);
const loadOf = ({ network }: Asking, part: string): number => network.loads.findIndex((load) => load.part === part);

/** States in which a controller wakes though it is not meant to be fed. */
function bridged(asked: Asking, rows: readonly Surveyed[], part: string): readonly Surveyed[] {
  const k = loadOf(asked, part);
  return rows.filter((row) => row.fed[k] === 0 && row.classes[k]! >= CLASSES.indexOf('awake'));
}

describe('isolators on a shared soft start', () => {
  it.each([2, 3, 4, 5])('%d of them without blocking diodes: each wakes every other, and the way is told in order', (n) => {
    const asked = asking(machineOf(branchesFile(n, { softStart: 'shared' })));
    const { rows, states } = stateTable(asked, packsIn(asked));
    expect(states).toBe(2 ** (n + 1));
    for (let k = 1; k <= n; k++) {
      const found = bridged(asked, rows, `T${k}`);
      // The button open, its own isolator open, and any of the others closed: 2^(n − 1) less the one with all open.
      expect(found.reduce((sum, row) => sum + row.situation.standsFor, 0)).toBe(2 ** (n - 1) - 1);
    }
    // Only Q1 closed: out through its branch, back over its charge lead, and in over that of the other.
    const only = rows.find(({ situation }) => asked.network.rows.every((row, r) => situation.positions[r] === (row.part === 'Q1' ? 1 : 0)))!;
    asked.setting.set(only.situation, [], only.situation.reached);
    asked.setting.settle();
    const path = feedingPath(asked.setting, loadOf(asked, 'T2'));
    expect(path.from).toBe('G1');
    expect(path.words).toEqual([
      'pack G1', 'lead of pack', 'joint X1', 'fuse F1', 'joint J1', 'lead of branch 1', 'switch Q1', 'lead of soft 1', 'lead of soft 2', 'T2',
      'negative joint of branch 2', 'return lead of branch 2', 'negative joint of pack', 'return lead of pack', 'pack G1',
    ]);
    expect(CLASSES[only.classes[loadOf(asked, 'T2')]!]).toBe('can move');
  });

  it.each([2, 3, 4, 5])('%d of them with blocking diodes: none wakes another, in any state', (n) => {
    const asked = asking(machineOf(branchesFile(n, { softStart: 'shared with diodes' })));
    const { rows } = stateTable(asked, packsIn(asked));
    for (let k = 1; k <= n; k++) expect(bridged(asked, rows, `T${k}`)).toEqual([]);
    // Nor do the diodes' reverse currents leave more than a dead load has.
    for (const row of rows) for (const [k, load] of asked.network.loads.entries()) if (row.fed[k] === 0) expect(`${load.part} ${CLASSES[row.classes[k]!]}`).toBe(`${load.part} dead`);
  });

  it.each([2, 3, 4])('%d of them with one diode shorted: that branch wakes every other', (n) => {
    const asked = asking(machineOf(branchesFile(n, { softStart: 'shared with diodes' })));
    const shorted = failuresOf(asked.network).filter(({ part, mode }) => part === 'D1' && mode === 'short');
    expect(shorted).toHaveLength(1);
    const woken = new Set<string>();
    let states = 0;
    const { covered } = everyFailure(asked.setting, asked.every, shorted, packsIn(asked), (_failure, situation, classes) => {
      const fed = asked.intended.fed(situation);
      const awake = asked.network.loads.filter((load, k) => load.kind === 'controller' && fed[k] === 0 && classes![k]! >= CLASSES.indexOf('awake'));
      for (const load of awake) woken.add(load.part);
      if (awake.length > 0) states += situation.standsFor;
    });
    expect(covered).toBe(2 ** (n + 1));
    expect([...woken].sort()).toEqual(Array.from({ length: n - 1 }, (_, k) => `T${k + 2}`));
    // The button open, Q1 closed, and not every other isolator closed too.
    expect(states).toBe(2 ** (n - 1) - 1);
  });
});

describe('machines that are flawed on purpose', () => {
  const spin = machineFile('flawed/spin8s-missing-diode');

  it('SPIN8S: the missing diode is found, and is gone once it is put in', () => {
    const { answer } = isolation(studyOf(spin), []);
    expect(answer.verdict).toBe('bad');
    expect(answer.items.filter(({ verdict }) => verdict === 'bad').map(({ parts }) => parts[0])).toEqual(['T1', 'T2', 'T4', 'K1']);
    expect(answer.says).toContain('switch Q3 → lead of charge drum → lead of charge left → diode D1 → T1');
    const mended = spin.replace('  # D3:', '  D3:').replace('charge drum: from charge, ', 'charge drum: from charge, D3, ');
    const { answer: sound } = isolation(studyOf(mended), []);
    expect(sound.items.filter(({ verdict, where }) => verdict === 'bad' && !where.startsWith('signal ground'))).toEqual([]);
  });

  it('CRUSH10S-DAISY: the signal grounds carry the drive, and do not in the machine that it was made from', () => {
    const daisy = isolation(studyOf(machineFile('flawed/crush10s-daisy-return')), []).answer;
    const sound = isolation(studyOf(machineFile('crush10s')), []).answer;
    expect(daisy.verdict).toBe('bad');
    expect(daisy.items[0]!.where).toContain('signal ground arm');
    expect(sound.verdict).toBe('good');
    expect(daisy.items[0]!.figure!.value).toBeGreaterThan(10 * sound.items[0]!.figure!.value);
  });

  it.each(['spin8s-missing-diode', 'crush10s-daisy-return'])('%s opens with what it is and what to look for', (name) => {
    const comment = machineFile(`flawed/${name}`).split('\n').filter((line) => line.startsWith('#')).join('\n');
    expect(comment).toContain('FLAWED ON PURPOSE');
    expect(comment).toContain('What to look for');
  });
});

describe('sneak circuits of the literature', () => {
  const source = 'MIL-HDBK-338B, Electronic Reliability Design Handbook (1998), section 7.9, sneak circuit analysis: the five topographs (from memory)';
  const file = (parts: readonly string[], wiring: readonly string[], procedure: readonly string[], returns = 'all negatives on one bar'): string =>
    ['ampwright: 1', 'machine: TOPOGRAPH', 'parts:', '  G1: { kind: pack, chemistry: lipo, cells: 3, capacity: 8 Ah }', ...parts.map((line) => `  ${line}`),
      'wiring:', ...wiring.map((line) => `  ${line}`), `returns: ${returns}`, 'procedure:', ...procedure.map((line) => `  - ${line}`), ''].join('\n');
  const load = (id: string): string => `${id}: { kind: load, resistance: 6 Ω }`;
  const isolator = (id: string): string => `${id}: { kind: isolator }`;
  /** States in which a load that is not meant to be fed stands at a volt or more. */
  const sneaks = (text: string, part: string): number => {
    const asked = asking(machineOf(text));
    const k = loadOf(asked, part);
    return stateTable(asked, packsIn(asked)).rows.filter((row) => row.fed[k] === 0 && row.classes[k]! > 0).reduce((sum, row) => sum + row.situation.standsFor, 0);
  };

  it('a single line has none', () => {
    const text = file([isolator('Q1'), load('T1')], ['a: from G1+, Q1, 18 AWG 1 m, to T1'], ['close Q1']);
    external({ source, what: 'single-line topograph: states in which its load is live with its switch open', expected: 0, got: sneaks(text, 'T1'), unit: 'states', absolute: 0, note: 'from memory' });
  });

  it('a power dome, two switched feeds of one load, has none: it is meant to be fed by either', () => {
    const text = file([isolator('Q1'), isolator('Q2'), load('T1')], ['bus: from G1+, 18 AWG 1 m, to bar', 'a: from bar, Q1, 18 AWG 1 m, to T1', 'b: from bar, Q2, 18 AWG 1 m, to T1'], ['close Q1', 'close Q2']);
    external({ source, what: 'power-dome topograph: states in which its load is live with both switches open', expected: 0, got: sneaks(text, 'T1'), unit: 'states', absolute: 0, note: 'from memory' });
  });

  it('the H pattern has one: over its crossbar, with one leg fed and the other open', () => {
    const text = file([isolator('Q1'), isolator('Q2'), isolator('Q3'), load('T1'), load('T2')],
      ['bus: from G1+, 18 AWG 1 m, to bar', 'a: from bar, Q1, 18 AWG 1 m, to T1', 'b: from bar, Q2, 18 AWG 1 m, to T2', 'crossbar: from T1, Q3, 18 AWG 0.3 m, to T2'], ['close Q1', 'close Q2']);
    // Traced from T1 to T2 the crossbar is a feed of T2 by design; against it, into T1, it is the sneak path.
    external({ source, what: 'H topograph: states in which the first leg is live against the crossbar with its own switch open', expected: 1, got: sneaks(text, 'T1'), unit: 'states', absolute: 0, note: 'from memory' });
  });

  it('the car radio that plays while the brake is pressed, with the hazard switch on and the ignition off', () => {
    const text = file([isolator('Q1'), isolator('Q2'), isolator('S1'), load('T1'), load('T2')],
      ['bus: from G1+, 18 AWG 1 m, to bar', 'ignition: from bar, Q1, 18 AWG 1 m, to radio', 'radio: from radio, 18 AWG 1 m, to T1', 'brake: from bar, S1, 18 AWG 2 m, to T2', 'hazard: from radio, Q2, 18 AWG 1 m, to T2'], ['close Q1', 'close S1']);
    external({
      source: 'J. P. Rankin, Sneak-circuit analysis, Nuclear Safety 14 (1973) 461: the automobile’s radio, brake lamps and hazard switch (from memory)',
      what: 'ignition off: combinations of brake and hazard switch in which the radio is live (brake and hazard both closed)',
      expected: 1, got: sneaks(text, 'T1'), unit: 'states', absolute: 0, note: 'from memory',
    });
  });
});

describe('what a load could draw', () => {
  it('is at most what the maximum power theorem gives, and nearly that', () => {
    // A bus of 39 kΩ and 1 kΩ: all resistances of leads and contacts are below 1e-4 of it.
    const text = ['ampwright: 1', 'machine: DIVIDER', 'parts:', '  G1: { kind: pack, chemistry: lipo, cells: 10, capacity: 8 Ah, charge: 100 % }', '  R1: { kind: resistor, resistance: 1 kΩ, power: 5 W }',
      '  Q1: { kind: isolator }', '  T1: { kind: load, resistance: 39 kΩ }', 'wiring:', '  all: from G1+, Q1, R1, to T1', 'returns: all negatives on one bar', 'procedure:', '  - close Q1', ''].join('\n');
    const asked = asking(machineOf(text));
    const positions = startPositions(asked);
    positions[0] = 1;
    const [found] = stateDetail(asked, { positions, present: packsIn(asked) })!;
    // 100 kΩ of sleeping electronics stand beside the load.
    const open_V = 42;
    const load_S = 1 / 39e3 + 1 / 100e3;
    const source_ohm = 1 / (1e-3 + load_S);
    const source_V = (open_V * source_ohm) / 1e3;
    external({ source: 'Ohm’s law', what: '42 V over 1 kΩ into 39 kΩ: voltage', expected: source_V, got: found!.voltage_V, unit: 'V', relative: 1e-3 });
    external({ source: 'Ohm’s law', what: '42 V over 1 kΩ: current through an ammeter', expected: open_V / 1e3, got: found!.reach!.current_A, unit: 'A', relative: 1e-3 });
    // Resistances are tried six a decade: at most a factor 10^(1/12) off the best, where 4x/(1 + x)² is 0.991.
    external({ source: 'maximum power theorem (M. H. von Jacobi, 1840): V²/4R', what: '42 V over 1 kΩ: most power', expected: source_V ** 2 / (4 * source_ohm), got: found!.reach!.power_W, unit: 'W', relative: 0.01, note: 'resistances are tried six a decade' });
  });
});

describe('laws that hold for every machine', () => {
  const TEXTS = [branchesFile(3, { softStart: 'shared' }), branchesFile(3, { softStart: 'shared with diodes' }), machineFile('crush10s'), machineFile('lift6s'), machineFile('kart16s'), machineFile('flawed/spin8s-missing-diode')];
  const machines = TEXTS.map((text) => asking(machineOf(text)));
  const drawn = fc.record({ which: fc.nat(machines.length - 1), seeds: fc.array(fc.nat(5), { minLength: 8, maxLength: 8 }), sources: fc.array(fc.boolean(), { minLength: 8, maxLength: 8 }) });
  const situationOf = ({ network }: Asking, seeds: readonly number[], sources: readonly boolean[]) => ({
    positions: Uint8Array.from(network.rows, ({ positions }, r) => seeds[r]! % positions.length),
    present: Uint8Array.from(network.sources, ({ kind }, s) => (kind === 'bench lead' || sources[s] === true ? 1 : 0)),
  });

  it('no source, no life: with everything out and at rest every load is dead (seed 44)', () => {
    fc.assert(fc.property(drawn, ({ which, seeds }) => {
      const asked = machines[which]!;
      for (const load of stateDetail(asked, situationOf(asked, seeds, []))!) if (asked.network.sources.every(({ kind }) => kind !== 'bench lead')) expect(load.class).toBe('dead');
    }), { seed: 44, numRuns: 60 });
  });

  it('no load stands higher than all sources on top of each other (seed 45)', () => {
    fc.assert(fc.property(drawn, ({ which, seeds, sources }) => {
      const asked = machines[which]!;
      const values = asked.network.inputs.nominal();
      const situation = situationOf(asked, seeds, sources);
      const sum = asked.network.sources.reduce((total, source, s) => total + (situation.present[s] === 1 ? source.voltage(values) : 0), 0);
      // Outputs of converters are no higher than what feeds them in these machines.
      for (const load of stateDetail(asked, situation)!) expect(Math.abs(load.voltage_V)).toBeLessThanOrEqual(sum + 1e-6);
    }), { seed: 45, numRuns: 60 });
  });

  it('a state comes out the same whatever was looked at before (seed 46)', () => {
    fc.assert(fc.property(drawn, drawn, ({ which, seeds, sources }, other) => {
      const asked = machines[which]!;
      const fresh = asking(asked.network.machine);
      const situation = situationOf(asked, seeds, sources);
      stateDetail(asked, situationOf(asked, other.seeds, other.sources));
      const [after, first] = [asked, fresh].map((one) => stateDetail(one, situation)!.map((load) => [load.class, load.voltage_V] as const));
      expect(after!.map(([name]) => name)).toEqual(first!.map(([name]) => name));
      after!.forEach(([, volts], k) => expect(Math.abs(volts - first![k]![1])).toBeLessThan(1e-5));
    }), { seed: 46, numRuns: 40 });
  });
});

describe('an isolator that the file declares', () => {
  // Two controllers on one switched bar; the file says that T2 is kept dead by Q2, which its wire does not lead through.
  const text = (declared: string): string => [
    'ampwright: 1', 'machine: DECLARED', 'parts:',
    '  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah }',
    '  Q1: { kind: isolator }', '  Q2: { kind: isolator }',
    '  T1: { kind: controller, motor current: 60 A }',
    `  T2: { kind: controller, motor current: 60 A${declared} }`,
    '  T3: { kind: controller, motor current: 60 A }',
    'wiring:', '  pack: from G1+, 12 AWG 0.2 m, Q1, to bus', '  one: from bus, to T1', '  two: from bus, 12 AWG 0.2 m, to T2', '  three: from bus, Q2, 12 AWG 0.2 m, to T3',
    'returns: all negatives on one bar', 'procedure: [close Q1, close Q2]', '',
  ].join('\n');
  it('makes a load that lives behind it a bridge, which the wiring alone does not', () => {
    const live = (declared: string): readonly string[] => isolation(studyOf(text(declared)), []).answer.items.filter((item) => item.verdict === 'bad').flatMap((item) => item.parts.slice(0, 1));
    expect(live('')).toEqual([]);
    expect(live(', isolated by: Q2')).toEqual(['T2']);
  });
});
