import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildNetwork } from '../../../src/machine/network/network.ts';
import { exchanges } from '../../../src/questions/states/equal-branches.ts';
import { survey } from '../../../src/questions/states/survey.ts';
import { branchesFile } from '../branches.ts';
import { machineOf } from '../machines.ts';

const demo = (name: string): string => readFileSync(new URL(`../../../machines/${name}.yaml`, import.meta.url), 'utf8');

/** Pairs of parts that are exchanged, by name. */
function pairs(text: string): string[] {
  const network = buildNetwork(machineOf(text));
  return exchanges(network, network.inputs.nominal()).map(({ rows, sources, loads }) => [
    ...rows.flatMap((to, r) => (to > r ? [`${network.rows[r]!.part}-${network.rows[to]!.part}`] : [])),
    ...loads.flatMap((to, k) => (to > k ? [`${network.loads[k]!.part}-${network.loads[to]!.part}`] : [])),
    ...sources.flatMap((to, s) => (to > s ? [`${network.sources[s]!.part}-${network.sources[to]!.part}`] : [])),
  ].join(' '));
}

describe('equal branches', () => {
  it('are those with the same parts: not the one that feeds the services', () => {
    expect(pairs(branchesFile(4, { softStart: 'shared with diodes' }))).toEqual(['Q2-Q3 T2-T3 P2-P3 R2-R3 M2-M3', 'Q3-Q4 T3-T4 P3-P4 R3-R4 M3-M4']);
  });

  it('are equal no longer when one number differs, anywhere in them', () => {
    const text = branchesFile(3, { softStart: 'shared with diodes' });
    expect(pairs(text)).toHaveLength(1);
    for (const [of, becomes] of [
      ['T3: { kind: controller, motor current: 120 A', 'T3: { kind: controller, motor current: 121 A'], ['R3: { kind: bleed, resistance: 10 kΩ', 'R3: { kind: bleed, resistance: 10.1 kΩ'],
      ['J3, 8 AWG 0.50 m', 'J3, 8 AWG 0.51 m'], ['D3: { kind: diode, rating: 3 A', 'D3: { kind: diode, rating: 5 A'], ['resistance: 20 mΩ }\n  P3', 'resistance: 21 mΩ }\n  P3'],
    ] as const) {
      expect(text).toContain(of);
      expect(pairs(text.replace(of, becomes))).toEqual([]);
    }
  });

  it.each([
    ['BRANCHES3 with a shared soft start', branchesFile(3, { softStart: 'shared' })],
    ['BRANCHES4 with blocking diodes', branchesFile(4, { softStart: 'shared with diodes' })],
    ['CRUSH10S', demo('crush10s')],
    ['LIFT6S', demo('lift6s')],
    ['TRK14S', demo('trk14s')],
  ])('change nothing in the states of %s', (_name, text) => {
    const machine = machineOf(text);
    const [used, all] = [survey(machine), survey(machine, { equalBranches: false })];
    expect(all.exchanged).toBe(0);
    expect(used.surveyed).toHaveLength(all.surveyed.length);
    used.surveyed.forEach((one, k) => {
      const other = all.surveyed[k]!;
      expect(one.situation).toEqual(other.situation);
      expect([one.classes, one.fed, one.came]).toEqual([other.classes, other.fed, other.came]);
      one.voltages.forEach((volts, load) => expect(Math.abs(volts - other.voltages[load]!)).toBeLessThan(1e-5));
    });
  });

  it('spare the more states the more of them there are', () => {
    const shares = [3, 4, 5].map((n) => {
      const { exchanged, surveyed } = survey(machineOf(branchesFile(n, { softStart: 'shared with diodes' })));
      return exchanged / surveyed.length;
    });
    expect(shares[0]).toBeGreaterThan(0.3);
    expect(shares[1]).toBeGreaterThan(shares[0]!);
    expect(shares[2]).toBeGreaterThan(shares[1]!);
  });
});
