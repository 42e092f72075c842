import { describe, expect, it } from 'vitest';
import { awgSection_m2 } from '../../src/quantity/awg.ts';
import type { Chain } from '../../src/machine/machine.ts';
import { LEADS_IN_MATCH } from '../../src/questions/heat.ts';
import { leadCurrents } from '../../src/questions/lead-currents.ts';
import { tablesOf, type Table } from '../../src/sheets/document/document.ts';
import { cuttingListPaper, labelTable, wireListPaper, wireListTable } from '../../src/sheets/wire-list.ts';
import { colourOf, cutLength_m } from '../../src/sheets/wire-words.ts';
import { wiresOf } from '../../src/sheets/wires.ts';
import { DEMOS, demoText, sourceOf, type Demo } from './source.ts';

/** A machine with each way in which a lead comes to its return. */
const EVERY_WAY = `ampwright: 1
machine: WAYS
parts:
  G1: { kind: pack, chemistry: lipo, cells: 3, capacity: 3 Ah }
  G2: { kind: pack, chemistry: lipo, cells: 3, capacity: 3 Ah }
  F1: { kind: fuse, rating: 60 A }
  T1: { kind: controller, motor current: 60 A }
  T2: { kind: controller, motor current: 60 A }
  T3: { kind: converter, output: 6 V }
  K1: { kind: receiver }
wiring:
  between: from G1+, 12 AWG 0.10 m, to G2-
  pack: from G2+, 12 AWG 0.20 m, F1, 10 AWG 0.15 m, to bus
  left: from bus, 12 AWG 0.30 m, to T1
  right: from bus, 4 mm² 250 mm, to T2
  services: from bus, 20 AWG 0.4 m, to T3
  radio: from T3 out, 22 AWG 0.12 m, to K1
returns:
  general: all negatives on one bar
  right: from T2-, 4 mm² 0.35 m, to T1-
signal grounds:
  left: from T1-, 24 AWG 0.22 m, to K1-
`;

/**
 * Added up by hand: the lead between packs in series has no return; pack, left, services and radio have one beside each
 * piece; the right track's is traced by itself; a signal ground is one wire.
 */
const BY_HAND: Readonly<Record<string, number>> = {
  '10 AWG': 2 * 0.15, '12 AWG': 0.1 + 2 * 0.2 + 2 * 0.3, '4 mm²': 0.25 + 0.35, '20 AWG': 2 * 0.4, '22 AWG': 2 * 0.12, '24 AWG': 0.22,
};

/** Metres in the machine by size, from the first table of its cutting list. */
function reelSums(text: string): Map<string, number> {
  const sums = new Map<string, number>();
  for (const [size = '', , , , length = ''] of tablesOf(cuttingListPaper(sourceOf(text)))[0]?.rows ?? []) sums.set(size, (sums.get(size) ?? 0) + Number(length));
  return sums;
}

/**
 * Metres of cable, read off the text of a file without this project's reader: a line under "wiring" counts twice, for
 * its return, unless that is traced under "returns" or another line has led one from there; other lines count once.
 */
function metresInText(text: string): number {
  const section = (name: string): string[] => (new RegExp(`^${name}:(?:.*)\\n((?:[ #].*\\n|\\n)*)`, 'm').exec(text)?.[1] ?? '').split('\n').map((line) => line.replace(/#.*/, '')).filter((line) => line.includes(' from '));
  const metres = (line: string): number => [...line.matchAll(/(?:AWG|mm²) ([\d.]+) (mm?)\b/g)].reduce((sum, [, value, unit]) => sum + Number(value) * (unit === 'mm' ? 0.001 : 1), 0);
  const returns = section('returns');
  const own = (line: string): boolean => {
    const [, from = '', to = ''] = /from ([^,]+?)\+?,.* to (.+?)\s*$/.exec(line) ?? [];
    return returns.some((one) => one.includes(`from ${to}-,`) || new RegExp(`to ${from}-\\s*$`).test(one));
  };
  const led = new Set<string>();
  const times = (line: string): number => {
    const [, from = '', to = ''] = /from ([^,]+?)\+?,.* to (.+?)\s*$/.exec(line) ?? [];
    if (own(line) || (led.has(to) && !/^G\d/.test(from))) return 1;
    led.add(to);
    return 2;
  };
  return [...section('wiring').map((line) => metres(line) * times(line)), ...returns.map(metres), ...section('signal grounds').map(metres)].reduce((sum, one) => sum + one, 0);
}

describe('the wire list', () => {
  it('adds up by size to what a hand adds up, whatever becomes of a lead’s return', () => {
    const sums = reelSums(EVERY_WAY);
    expect([...sums.keys()].sort()).toEqual(Object.keys(BY_HAND).sort());
    for (const [size, metres] of Object.entries(BY_HAND)) expect(sums.get(size), size).toBeCloseTo(metres, 9);
  });

  it.each(DEMOS)('holds all the cable that the text of %s names', (demo) => {
    const sum = [...reelSums(demoText(demo)).values()].reduce((total, one) => total + one, 0);
    expect(sum).toBeGreaterThan(0);
    expect(sum).toBeCloseTo(metresInText(demoText(demo)), 9);
  });

  it.each(DEMOS)('has every wire of %s once in list, cutting list and, for both ends, on the labels', (demo) => {
    const source = sourceOf(demoText(demo));
    const ids = (tablesOf(wireListPaper(source))[0]?.rows ?? []).map(([id]) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(new Set((tablesOf(cuttingListPaper(source))[1]?.rows ?? []).map(([id]) => id))).toEqual(new Set(ids));
    expect(tablesOf(cuttingListPaper(source))[1]?.rows).toHaveLength(ids.length);
    const labels = labelTable(source).rows;
    expect(labels).toHaveLength(2 * ids.length);
    for (const id of ids) {
      const [one, other] = labels.filter(([wire]) => wire === id);
      expect([one?.[1], one?.[2]]).toEqual([other?.[2], other?.[1]]);
    }
  });

  // 0.50 m with 5 % for bends and 30 mm for each end is 0.585 m, by hand.
  it('cuts each wire longer by the allowance that it states', () => {
    const { wires } = wiresOf(sourceOf(demoText('crush10s')).machine);
    const drive = wires.find(({ branch }) => branch === 'drive');
    expect(drive?.conductor.section.value).toBe(awgSection_m2(8));
    expect(cutLength_m(drive!)).toBeCloseTo(0.585, 9);
    for (const wire of wires) expect(cutLength_m(wire)).toBeGreaterThanOrEqual(wire.conductor.length.value * 1.05 + 0.06 - 1e-9);
  });

  // Source: IEC 60757:2021, Table 1, from memory: RD red, BK black, BU blue, YE yellow, GN green.
  it('writes colours in the codes of IEC 60757, and marks those that it took by role', () => {
    const text = demoText('crush10s').replace('8 AWG 0.50 m, to drive', '8 AWG 0.50 m blue, to drive').replace('10 AWG 0.60 m', '10 AWG 0.60 m green/yellow');
    const { wires } = wiresOf(sourceOf(text).machine);
    const colour = (branch: string, role: string): string | undefined => {
      const wire = wires.find((one) => one.branch === branch && one.role === role);
      return wire === undefined ? undefined : colourOf(wire);
    };
    expect(colour('drive', 'supply')).toBe('BU');
    expect(colour('arm', 'supply')).toBe('GNYE');
    expect(colour('services', 'supply')).toBe('RD*');
    expect(colour('services, return', 'return')).toBe('BK*');
  });

  it('takes what a lead carries in the match from the answer about heat, and says where there is none', () => {
    const plain = wireListPaper(sourceOf(demoText('crush10s')));
    expect(column(tablesOf(plain)[0]!, 'Worst in the match').every((cell) => cell === '')).toBe(true);
    expect(JSON.stringify(plain.blocks)).toContain('not computed, because the question about heat was not asked');
    const heat = {
      id: 'heat', question: 'Will anything overheat?', verdict: 'good', says: '', figure: undefined, limit: undefined, margin: undefined, passes: undefined, items: [], needs: [], refused: undefined, parts: [],
      evidence: [{ type: 'table', title: LEADS_IN_MATCH, head: ['Lead', 'At the most', 'Root mean square', 'Hottest'], rows: [['drive lead', '141 A', '70 A', '92 °C'], ['arm lead', '33 A', '9 A', '51 °C']] }],
      advice: [], basis: [], cautions: [], notAProblem: [],
    } as const;
    const table = wireListTable(sourceOf(demoText('crush10s'), [heat]));
    const of = (branch: string): (string | undefined)[] => table.rows.filter((row) => row[10] === branch).map((row) => `${row[11]} ${row[13]}`);
    expect(of('drive')).toEqual(['141 A 92 °C']);
    expect(of('drive, return')).toEqual(['141 A 92 °C']);
    // The arm has a lead and a signal ground of its name: only the lead is followed.
    expect(of('arm')).toEqual(['33 A 51 °C', expect.stringMatching(/^not followed \d.*\u2020$/)]);
    expect(of('pack')).toEqual([expect.stringMatching(/^not followed/)]);
  });

  // By hand, from the files: CRUSH10S has limits of 80, 80 and 60 A and a converter that draws 7 W at 42 V: 220.2 A in all;
  // LIFT6S has three controllers of 60 A, of which the lifter's comes back through the left one's negative: 60 + 60 A.
  it('adds up the controllers’ limits at full drive, and sends them back where the file wires them', () => {
    const at = (demo: Demo, from: string, to: string): number => {
      const table = wireListTable(sourceOf(demoText(demo)));
      const row = table.rows.find((one) => one[1] === from && one[2] === to);
      return Number(/^([\d.]+) A$/.exec(row?.[12] ?? '')?.[1]);
    };
    expect(at('crush10s', 'G1+', 'X1')).toBeCloseTo(220.2, 0);
    expect(at('crush10s', 'Q2', 'T4+')).toBeCloseTo(60, 0);
    expect(at('lift6s', 'bus', 'T1+')).toBeCloseTo(60, 0);
    expect(at('lift6s', 'T1-', 'bus-')).toBeCloseTo(120, 0);
    expect(at('trk14s', 'G1+', 'X1')).toBeCloseTo(100, 0);
  });

  // Kirchhoff's current law at the common bar: what comes back is what went out.
  it.each(DEMOS)('brings back at full drive what went out of the packs of %s', (demo) => {
    const { machine } = sourceOf(demoText(demo));
    const leads = leadCurrents(machine)!;
    const atPack = (end: Chain['from']): boolean => 'part' in end && machine.parts.get(end.part)?.kind === 'pack';
    const named = (role: Chain['role']): string[] => machine.wiring.chains.filter((chain) => chain.role === role && (atPack(chain.from) || atPack(chain.to))).map(({ name }) => name);
    const [chains, returns] = [named('supply'), named('return')];
    const sum = (list: typeof leads): number => list.reduce((total, { current_A }) => total + current_A, 0);
    const out = leads.filter(({ chain, piece, implied, role }) => chains.includes(chain) && piece === 0 && !implied && role === 'supply');
    const back = leads.filter(({ chain, piece, implied, role }) => piece === 0 && (implied ? chains.includes(chain) : role === 'return' && returns.includes(chain)));
    expect(out.length).toBeGreaterThan(0);
    expect(back.length).toBeGreaterThan(0);
    expect(sum(back) / sum(out)).toBeCloseTo(1, 2);
  });

  it('names what the file leaves open instead of making it up', () => {
    const text = JSON.stringify(wireListPaper(sourceOf(demoText('crush10s'))).blocks);
    expect(text).toContain('left: drive to T1+');
    expect(text).toContain('X1\u2013LK1');
  });
});

function column({ columns, rows }: Table, name: string): string[] {
  const at = columns.findIndex((one) => one.name === name);
  return rows.map((row) => row[at] ?? '');
}
