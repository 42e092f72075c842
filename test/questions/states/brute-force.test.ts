import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { buildNetwork } from '../../../src/machine/network/network.ts';
import { CLASSES } from '../../../src/questions/states/load-class.ts';
import { survey, type Survey } from '../../../src/questions/states/survey.ts';
import type { Surveyed } from '../../../src/questions/states/surveyed.ts';
import { branchesFile } from '../branches.ts';
import { machineOf } from '../machines.ts';
import { BruteForce, everyPlainSituation, type PlainSituation } from './brute-force.ts';

// The other side of this check shares no solver with the program: a dense conductance matrix a state, solved by ml-matrix,
// diodes on or off by iteration and then on their own curve, started loads as P/v, every state on its own.
// The numbers of the parts and which wire joins what are read from the program's network of the machine.

const demo = (name: string): string => readFileSync(new URL(`../../../machines/${name}.yaml`, import.meta.url), 'utf8');

const ALL = ['awake', 'can move', 'dead', 'leaking'];

/** Situations and loads of each machine, counted by hand from its file: positions of its switches times 2 for each pack and motor. */
const MACHINES = [
  { name: 'BRANCHES3 with a shared soft start', text: branchesFile(3, { softStart: 'shared' }), situations: 2 ** 4 * 2 ** 4, loads: 11, shown: ALL },
  { name: 'BRANCHES3 with blocking diodes', text: branchesFile(3, { softStart: 'shared with diodes' }), situations: 2 ** 4 * 2 ** 4, loads: 11, shown: ALL },
  { name: 'CRUSH10S', text: demo('crush10s'), situations: 2 * 2 * 3 * 3 * 2 ** 4, loads: 10, shown: ALL.slice(0, 3) },
  { name: 'LIFT6S', text: demo('lift6s'), situations: 2 ** 4 * 2 ** 4, loads: 10, shown: ALL },
  { name: 'TRK14S', text: demo('trk14s'), situations: 2 ** 5 * 2 ** 5, loads: 5, shown: ALL.slice(0, 3) },
  { name: 'KART16S', text: demo('kart16s'), situations: 2 * 3 * 2 * 2 ** 2, loads: 3, shown: ALL },
] as const;

describe.each(MACHINES)('every situation of $name', ({ text, situations, loads, shown }) => {
  const machine = machineOf(text);
  const found = survey(machine);
  const all = [...everyPlainSituation(found.network)];

  it('is stood for by exactly one merged situation', () => {
    expect(all).toHaveLength(situations);
    expect(found.situations).toBe(situations);
    expect(found.unsolved).toBe(0);
    for (const situation of all) expect(standIns(found, situation)).toHaveLength(1);
    expect(found.surveyed.reduce((sum, one) => sum + one.situation.standsFor, 0)).toBe(situations);
  });

  it('gives every load the class that brute force finds, outside ±2 % around the thresholds', () => {
    const plain = new BruteForce(buildNetwork(machine));
    const differ: string[] = [];
    let compared = 0;
    let inBand = 0;
    const seen = new Set<string>();
    for (const situation of all) {
      const [stands] = standIns(found, situation);
      const { classes, inBand: near } = plain.classes(situation);
      found.network.loads.forEach(({ part }, k) => {
        if (near[k] === true) {
          inBand++;
          return;
        }
        compared++;
        seen.add(classes[k]!);
        const ours = CLASSES[stands!.classes[k]!];
        if (ours !== classes[k]) differ.push(`${part} at ${situation.positions.join('')} ${situation.present.join('')}: ${ours} here, ${classes[k]} by brute force; ${stands!.voltages[k]!.toFixed(4)} V`);
      });
    }
    expect(differ).toEqual([]);
    expect(compared + inBand).toBe(situations * loads);
    // A band that swallowed the comparison would prove nothing.
    expect(inBand).toBeLessThan(0.02 * situations * loads);
    expect([...seen].sort()).toEqual(shown);
  });
});

function standIns({ surveyed }: Survey, { positions, present }: PlainSituation): Surveyed[] {
  return surveyed.filter(({ situation }) =>
    present.every((there, k) => situation.present[k] === there) && positions.every((position, row) => situation.asked[row] === 0 || situation.positions[row] === position));
}
