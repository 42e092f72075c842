import { describe, expect, test } from 'vitest';
import { faults } from '../../../src/questions/faults.ts';
import { isolation } from '../../../src/questions/isolation.ts';
import { programming } from '../../../src/questions/programming.ts';
import { limitsOf } from '../../../src/questions/soft-start-heat.ts';
import { FailureStudy } from '../../../src/questions/states/failure-effects.ts';
import { study, type Study } from '../../../src/questions/study.ts';
import { sampler } from '../../../src/quantity/random.ts';
import { processorTime_ms } from '../../processor-time.ts';
import { keepsTheRules } from '../answer-rules.ts';
import { branchesFile } from '../branches.ts';
import { ALL_DEMOS, machineOf } from '../machines.ts';
import { mutated } from '../mutations.ts';

/** All machines with AMPWRIGHT_PROVE=1; otherwise a tenth, so that a run of all tests stays short. */
const PROVE = process.env['AMPWRIGHT_PROVE'] === '1';
const MACHINES = PROVE ? 600 : 60;
const SEED = 44;
const BLOCK = 10;
/** For one machine and all three questions, ms of processor time. */
const WITHIN_MS = 20_000;

/** A machine of branches with connections, leakages, windings and a temperature drawn over what a file may say. */
function branched(k: number): string {
  const uniform = sampler(SEED, 1000 + k);
  const one = <T>(list: readonly T[]): T => list[Math.floor(uniform() * list.length)]!;
  const softStart = one([undefined, 'shared', 'shared with diodes'] as const);
  const text = branchesFile(1 + Math.floor(uniform() * 4), { ...(softStart === undefined ? {} : { softStart }), fused: uniform() < 0.5 });
  return text
    .replace('X1: { kind: joint }', one(['X1: { kind: joint, form: lug }', 'X1: { kind: connector, polarised: no }', 'X1: { kind: connector }', 'X1: { kind: joint }']))
    .replace(/J(\d): \{ kind: joint \}/g, (_all, n: string) => `J${n}: { kind: joint${one(['', ', form: screw terminal', ', form: splice'])} }`)
    .replace(/kind: diode, rating: 3 A/g, () => `kind: diode, rating: 3 A${one(['', ', type: schottky', `, leakage: ${Number((10 ** (uniform() * 4 - 3)).toPrecision(3))} mA`])}`)
    .replace(/motor current: 120 A/g, () => `motor current: 120 A${one(['', ', limits current: no', ', key switch: Q1'])}`)
    .replace(/resistance: 20 mΩ/g, () => `resistance: ${Number((2 * 10 ** (uniform() * 3)).toPrecision(3))} mΩ${one(['', ', breakaway torque: 0.5 Nm', ', no load current: 2 A'])}`)
    .replace('cells: 10', `cells: ${2 + Math.floor(uniform() * 14)}`)
    .replace('procedure:', `surroundings: { inside: ${Math.round(uniform() * 60)} °C }\nprocedure:`);
}

function keepsAll(base: Study, where: string): void {
  const begun = processorTime_ms();
  for (const question of [isolation, faults, programming]) keepsTheRules(question(base, []).answer, where);
  const studied = new FailureStudy(base.machine, (resistor) => limitsOf(base, resistor));
  for (const failure of studied.failures) {
    const { reversed, strains, dark, wakes } = studied.worstOf([failure]);
    for (const part of [...dark, ...wakes, ...reversed.map((one) => one.part)]) expect(base.machine.parts.has(part), `${where} ${failure.words}: ${part}`).toBe(true);
    for (const { current_A, within_s } of strains) expect(current_A > 0 && within_s >= 0, `${where} ${failure.words}`).toBe(true);
    for (const { volts_V, diodes_A } of reversed) expect(volts_V > 0 && (diodes_A ?? 0) >= -1e-3, `${where} ${failure.words}`).toBe(true);
  }
  // None left out: every failure in every state of the procedure, and at full drive.
  expect(studied.covered, where).toBe(studied.failures.length * (studied.states.length + 1));
  expect(studied.unsolved, `${where}: cases without a state of rest`).toBe(0);
  expect(processorTime_ms() - begun, where).toBeLessThan(WITHIN_MS);
}

describe(`isolation, faults and programming of ${MACHINES} machines, seed ${SEED}`, () => {
  const each = MACHINES / (2 * ALL_DEMOS.length);
  for (const name of ALL_DEMOS)
    test(`${each} of ${name} with values drawn over wide ranges`, () => {
      for (let k = 0; k < each; k++) keepsAll(study(machineOf(mutated(name, SEED, k).text)), `${name} ${k}`);
    }, each * WITHIN_MS);
  for (let first = 0; first < MACHINES / 2; first += BLOCK)
    test(`branches ${first} to ${first + BLOCK - 1} with drawn connections, leakages and temperatures`, () => {
      for (let k = first; k < first + BLOCK; k++) keepsAll(study(machineOf(branched(k))), `branches ${k}`);
    }, BLOCK * WITHIN_MS);
});
