import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { replayMatch } from '../../../src/questions/replay/match.ts';
import { lookAt, positionsAt } from '../../../src/questions/replay/moment.ts';
import { replayProcedure } from '../../../src/questions/replay/procedure.ts';
import { columnsOf, indexAt, lastBefore, valueAt, wordsAt, type NoReplay, type Owner, type Replay, type ReplayColumn, type ReplayQuantity } from '../../../src/questions/replay/replay.ts';
import { Situations } from '../../../src/questions/states/look.ts';
import { curvesCsv } from '../../../src/sheets/replay/csv.ts';
import { curvesSvg, panelsOf } from '../../../src/sheets/replay/picture.ts';
import { external } from '../../external.ts';
import { ALL_DEMOS, demoText, machineOf, plainMachine, type DemoName } from '../machines.ts';

function there(replay: Replay | NoReplay): Replay {
  if ('why' in replay) throw new Error(replay.why);
  return replay;
}

function column(replay: Replay, owner: Owner, quantity: ReplayQuantity): ReplayColumn {
  const found = columnsOf(replay, owner).find((one) => one.quantity === quantity);
  if (found === undefined) throw new Error(`no ${quantity} of ${JSON.stringify(owner)}`);
  return found;
}

const procedures = new Map<string, ReturnType<typeof replayProcedure>>();
function powerUpOf(name: DemoName): Replay {
  if (!procedures.has(name)) procedures.set(name, replayProcedure(machineOf(demoText(name))));
  return there(procedures.get(name)!['power-up']);
}

/** Integral over a whole run of a product of curves, straight between their points. */
function integral({ time_s }: Replay, of: (k: number) => number): number {
  let sum = 0;
  for (let k = 1; k < time_s.length; k++) sum += 0.5 * (of(k - 1) + of(k)) * (time_s[k]! - time_s[k - 1]!);
  return sum;
}

describe('the charging of a bank through a resistor', () => {
  const [volts, ohm, farad] = [42, 100, 2e-3];
  const text = plainMachine({ cells: 10, resistance_ohm: ohm, controllers: [{ capacitance_F: farad, standby_A: 0, above_V: 8 }], converters: [], wait_s: 2 });
  const replay = there(replayProcedure(machineOf(text))['power-up']);
  const charges = replay.marks.find(({ sort, words }) => sort === 'step' && words.endsWith('to CHARGE'))!;

  // Source: IEC 60050-131:2002, 131-11 (linear RC circuit), textbook solution of C dv/dt = (V − v)/R.
  // Tolerance: curves are straight between points that lie within 2 per mille of them; leads and cells add 3 mΩ to 100 Ω.
  it.each([0.02, 0.1, 0.2, 0.5, 1, 1.9])('%s s after the switch is as the closed form has it', (after_s) => {
    const decay = Math.exp(-after_s / (ohm * farad));
    const at_s = charges.from_s + after_s;
    external({ source: 'Charging of a capacitor through a resistor, closed form', what: `voltage at the bank of 2 mF, ${after_s} s into charging through 100 Ω from 42 V`, expected: volts * (1 - decay), got: valueAt(replay, column(replay, { part: 'T1' }, 'voltage'), at_s), unit: 'V', absolute: 0.004 * volts });
    external({ source: 'Charging of a capacitor through a resistor, closed form', what: `current of the pack, ${after_s} s into charging 2 mF through 100 Ω from 42 V`, expected: (volts / ohm) * decay, got: valueAt(replay, column(replay, { part: 'G1' }, 'current'), at_s), unit: 'A', absolute: 0.004 * (volts / ohm) });
  });
});

describe('the power-up of the demos', () => {
  it.each(ALL_DEMOS)('%s: open-circuit voltage times the current out of the cells, summed up over the curves, is the energy that they gave', (name) => {
    const replay = powerUpOf(name);
    const packs = [...machineOf(demoText(name)).parts.values()].filter(({ kind }) => kind === 'pack').map(({ id }) => id);
    // Before anything is closed a pack shows its open-circuit voltage, which a power-up does not change.
    const given = packs.reduce((sum, part) => {
      const [volt, ampere] = [column(replay, { part }, 'voltage'), column(replay, { part }, 'current')];
      return sum + volt.values[0]! * integral(replay, (k) => ampere.values[k]!);
    }, 0);
    expect(Math.abs(given / replay.delivered_J - 1)).toBeLessThan(0.01);
  });

  it.each(ALL_DEMOS)('%s: every value is a number, times never fall, every curve belongs to something', (name) => {
    const { time_s, columns, marks } = powerUpOf(name);
    expect(time_s.every((time, k) => k === 0 || time >= time_s[k - 1]!)).toBe(true);
    for (const { values, of } of columns) {
      expect(values.length).toBe(time_s.length);
      expect(values.every(Number.isFinite)).toBe(true);
      expect(of.length).toBeGreaterThan(0);
    }
    expect(marks.filter(({ sort }) => sort === 'step').length).toBeGreaterThan(0);
  });

  it('keeps microseconds where a contact closes, and few points where nothing happens', () => {
    const replay = powerUpOf('crush10s');
    const touch_s = replay.marks.find(({ words }) => words === 'Q1 ON touches')!.from_s;
    const points = (from_s: number, until_s: number): number => indexAt(replay.time_s, until_s) - indexAt(replay.time_s, from_s);
    expect(points(touch_s, touch_s + 20e-6)).toBeGreaterThan(10);
    expect(points(4.5, 5.5)).toBeLessThan(60);
    expect(replay.time_s.length).toBeLessThan(8000);
  });

  it('has the bus of CRUSH10S between the stop and the start voltage of its converter while Q1 is on CHARGE', () => {
    const replay = powerUpOf('crush10s');
    const bus = column(replay, { point: 'drive' }, 'voltage');
    const within = [...replay.time_s].map((time, k) => [time, bus.values[k]!] as const).filter(([time]) => time > 1.2 && time < 3);
    // The file: start 9 V, stop 7.5 V.
    expect(Math.min(...within.map(([, volt]) => volt))).toBeGreaterThan(7.45);
    expect(Math.max(...within.map(([, volt]) => volt))).toBeLessThan(9.01);
    expect(valueAt(replay, bus, 3.5)).toBeGreaterThan(41.9);
  });

  it('sums up the currents at the drive bus of CRUSH10S to nothing (Kirchhoff)', () => {
    const replay = powerUpOf('crush10s');
    const into = column(replay, { chain: 'drive', role: 'supply' }, 'current');
    const out = ['T1', 'T2', 'P1'].map((part) => column(replay, { part }, 'current'));
    const services = column(replay, { chain: 'services', role: 'supply' }, 'current');
    for (const time of [1.0005, 1.5, 2.7, 3.0201, 3.03, 5]) {
      const sum = [...out, services].reduce((all, curve) => all + valueAt(replay, curve, time), 0);
      expect(sum).toBeCloseTo(valueAt(replay, into, time), 2);
    }
  });
});

describe('a moment of CRUSH10S', () => {
  const machine = machineOf(demoText('crush10s'));
  const situations = new Situations(machine);
  const at = (moment_s: number) => {
    const replay = powerUpOf('crush10s');
    const positions = positionsAt(replay, moment_s);
    const rest = situations.look({ positions: { ...situations.changeables.poweredUp, ...positions }, absent: [], turning: [], failures: [] });
    return { positions, look: lookAt(replay, machine, moment_s, rest), words: wordsAt(replay, moment_s) };
  };
  const load = ({ look }: ReturnType<typeof at>, part: string) => look.loads.find((one) => one.part === part);

  it('is dead behind open switches, and live before them', () => {
    const now = at(0.5);
    expect(now.positions).toEqual({ LK1: 'closed', Q1: 'OFF', Q2: 'OFF' });
    expect(now.look.places['bar']?.state).toBe('live');
    expect(now.look.places['drive']?.state).toBe('dead');
    expect(load(now, 'T1')?.state).toBe('dead');
    expect(now.words).toBe('insert LK1');
  });

  it('still holds a voltage in the 20 ms in which Q1 is between CHARGE and ON', () => {
    const now = at(3.01);
    expect(now.positions['Q1']).toBe('OFF');
    expect(now.look.places['drive']?.state).toBe('fed');
    expect(now.look.places['drive']?.volts_V).toBeCloseTo(7.5, 0);
    expect(load(now, 'T1')?.state).toBe('charged');
    expect(load(now, 'K1')?.state).toBe('dead');
    expect(now.look.conductors['drive']).toEqual(['live', 'fed', 'fed']);
    expect(now.words).toBe('Q1 to ON');
  });

  it('is live once Q1 has touched ON, bounces and all', () => {
    const now = at(3.0202);
    expect(now.positions['Q1']).toBe('ON');
    expect(now.look.places['drive']?.state).toBe('live');
    expect(load(at(3.5), 'K1')?.state).toBe('awake');
    expect(load(at(3.5), 'T1')?.state).toBe('can move');
  });

  it('is off again after the power-down, and its banks drain', () => {
    const down = there(procedures.get('crush10s')!['power-down']);
    expect(positionsAt(down, 30)).toEqual({ LK1: 'open', Q1: 'OFF', Q2: 'OFF' });
    const bus = column(down, { point: 'drive' }, 'voltage');
    expect(valueAt(down, bus, -0.4)).toBeGreaterThan(41.9);
    expect(valueAt(down, bus, 30)).toBeLessThan(8);
  });
});

describe('the match of the demos', () => {
  it.each(ALL_DEMOS)('%s: every curve belongs to something and has numbers only; packs give less than their cells do', (name) => {
    const machine = machineOf(demoText(name));
    const replay = there(replayMatch(machine));
    for (const { name: curve, values, of } of replay.columns) {
      expect(values.every(Number.isFinite)).toBe(true);
      if (!curve.includes(' before ')) expect(of.length, curve).toBeGreaterThan(0);
    }
    for (const part of machine.parts.values()) {
      if (part.kind !== 'pack') continue;
      expect(column(replay, { part: part.id }, 'temperature').values[0]).toBeCloseTo(part.values.temperature?.value ?? 25, 6);
      const [volt, ampere] = [column(replay, { part: part.id }, 'voltage'), column(replay, { part: part.id }, 'current')];
      const given_J = integral(replay, (k) => volt.values[k]! * ampere.values[k]!);
      // What cells give less what they warm themselves with: less than all, and most of it.
      expect(given_J).toBeLessThan(replay.delivered_J);
    }
    expect(replay.time_s.at(-1)).toBeCloseTo(180, 6);
  });

  it('says what is asked of CRUSH10S', () => {
    const replay = there(replayMatch(machineOf(demoText('crush10s'))));
    const words = new Set(replay.marks.filter(({ sort }) => sort === 'step').map((mark) => mark.words));
    expect([...words].sort()).toEqual(['drive', 'move M3', 'push', 'servo M4', 'stall', 'stall M3', 'turn']);
  });

  it('says why there is none', () => {
    const text = demoText('board10s').replace(/^( +T\d: \{ kind: controller,.*?)drives: M\d,? ?/gm, '$1').replace(/^ +drives: M\d\n/gm, '');
    expect(replayMatch(machineOf(text))).toEqual({ why: 'a match needs a controller that drives a motor' });
  });
});

describe('what is saved', () => {
  const replay = powerUpOf('crush10s');
  const columns = columnsOf(replay, { part: 'T1' });

  it('is a table with units in its header and one number a cell', () => {
    const rows: string[][] = parse(curvesCsv(replay, columns, { from_s: 2.5, until_s: 3.5 }), { relax_column_count: false });
    expect(rows[0]).toEqual(['time (s)', 'T1 voltage (V)', 'T1 current (A)']);
    expect(rows.slice(1).every((row) => row.every((cell) => cell !== '' && Number.isFinite(Number(cell))))).toBe(true);
    expect(Number(rows[1]![0])).toBe(2.5);
    expect(Number(rows.at(-1)![0])).toBe(3.5);
    expect(Number(rows.at(-1)![1])).toBeCloseTo(42, 1);
  });

  it('is a picture that stands alone: names, values at the cursor, no markup from a name', () => {
    const named = columns.map((one) => ({ ...one, name: `<script>${one.name}` }));
    const svg = curvesSvg({ replay, panels: panelsOf(named), span: { from_s: 0, until_s: 8 }, size: { width: 900, height: 190 }, alone: { title: 'CRUSH10S <&>', at_s: 3.5, at: '3.50 s' } });
    expect(svg).not.toContain('<script');
    expect(svg).toContain('&lt;script&gt;T1 voltage: 42 V');
    expect(svg).not.toContain('NaN');
    expect(svg.match(/<path d="M58[^"]*" stroke="var\(--ink/g)?.length).toBeGreaterThanOrEqual(2);
  });
});

it('finds a moment between points, at a jump the later value, outside the nearest', () => {
  const replay = { time_s: Float64Array.of(0, 1, 1, 2) };
  const curve = { values: Float64Array.of(0, 10, 20, 40) };
  expect([-1, 0, 0.5, 1, 1.5, 2, 9, NaN].map((moment) => valueAt(replay, curve, moment))).toEqual([0, 0, 5, 20, 30, 40, 40, 0]);
  expect(lastBefore([{ from_s: 0 }, { from_s: 2 }], 1)).toEqual({ from_s: 0 });
});
