import { describe, expect, it } from 'vitest';
import { buildNetwork } from '../../../src/machine/network/network.ts';
import { failuresOf } from '../../../src/machine/network/failures.ts';
import { Setting } from '../../../src/machine/network/situation.ts';
import { exchanges } from '../../../src/questions/states/equal-branches.ts';
import { everyFailure } from '../../../src/questions/states/every-failure.ts';
import { EverySituation } from '../../../src/questions/states/every-state.ts';
import { presentSources } from '../../../src/questions/states/state-table.ts';
import { survey } from '../../../src/questions/states/survey.ts';
import { branchesFile } from '../branches.ts';
import { ALL_DEMOS, demoText, machineOf } from '../machines.ts';

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
    ...ALL_DEMOS.map((name): [string, string] => [name, demoText(name)]),
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

  it.each([
    ['BRANCHES3 with blocking diodes', branchesFile(3, { softStart: 'shared with diodes', fused: true })],
    ...ALL_DEMOS.map((name): [string, string] => [name, demoText(name)]),
  ])('change nothing in the failures of %s, packs in and motors turning', (_name, text) => {
    const network = buildNetwork(machineOf(text));
    const motors = network.sources.flatMap(({ kind, part }) => (kind === 'spinning motor' ? [part] : []));
    for (const turning of [[], motors]) {
      const present = presentSources(network.sources, [], turning);
      const looked = [true, false].map((equalBranches) => {
        const setting = new Setting(network, network.inputs.nominal());
        const cases: string[] = [];
        const count = everyFailure(setting, new EverySituation(setting), failuresOf(network), present, (failure, { positions }, classes) => cases.push(`${failure.words} in ${positions.join()}: ${classes?.join()}`), { equalBranches });
        return { cases, count };
      });
      const [used, all] = [looked[0]!, looked[1]!];
      expect(used.cases).toEqual(all.cases);
      expect(used.count.covered).toBe(all.count.covered);
      expect(used.count.solved + used.count.exchanged).toBe(all.count.solved);
      expect(all.count.exchanged).toBe(0);
    }
  });

  it('leave a sixteenth of the failures of eight branches to be solved, and cover all', () => {
    const network = buildNetwork(machineOf(branchesFile(8, { fused: true })));
    const failures = failuresOf(network);
    const setting = new Setting(network, network.inputs.nominal());
    const count = everyFailure(setting, new EverySituation(setting), failures, presentSources(network.sources, [], []), () => undefined);
    expect(count.covered).toBe(256 * failures.length);
    expect(16 * count.solved).toBeLessThan(count.solved + count.exchanged);
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
