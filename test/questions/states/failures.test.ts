import { describe, expect, it, test } from 'vitest';
import { failuresOf, type Failure } from '../../../src/machine/network/failures.ts';
import { buildNetwork } from '../../../src/machine/network/network.ts';
import { Setting } from '../../../src/machine/network/situation.ts';
import { limitsOf } from '../../../src/questions/soft-start-heat.ts';
import { everyFailure } from '../../../src/questions/states/every-failure.ts';
import { EverySituation } from '../../../src/questions/states/every-state.ts';
import { FailureStudy, rank } from '../../../src/questions/states/failure-effects.ts';
import { byRank, failurePairs, PairSearch, type PairFound } from '../../../src/questions/states/failure-pairs.ts';
import { classify } from '../../../src/questions/states/load-class.ts';
import { branchesFile } from '../branches.ts';
import { ALL_DEMOS, demoText, machineOf } from '../machines.ts';

function failureStudy(text: string): FailureStudy {
  const machine = machineOf(text);
  return new FailureStudy(machine, (resistor) => limitsOf({ machine }, resistor));
}

describe('every failure in every state', () => {
  const network = buildNetwork(machineOf(branchesFile(2, { softStart: 'shared with diodes' })));
  const failures = failuresOf(network);
  const present = Uint8Array.from(network.sources, ({ kind }) => (kind === 'spinning motor' ? 0 : 1));
  /** Two isolators and a button. */
  const states = Array.from({ length: 8 }, (_, n) => Uint8Array.of(n & 1, (n >> 1) & 1, (n >> 2) & 1));

  /** Classes by a machine of its own, every node solved from dead, whatever a source may reach. */
  function afresh(positions: Uint8Array, failure: Failure | undefined): string {
    const setting = new Setting(network, network.inputs.nominal());
    setting.set({ positions, present }, failure === undefined ? [] : [failure.change]);
    expect(setting.settle()).toBe(true);
    const classes = new Uint8Array(network.loads.length);
    classify(setting, new Uint8Array(network.network.nodes.length).fill(1), classes);
    return classes.join();
  }

  it('covers states times failures, none left out, and each as it is alone', () => {
    const setting = new Setting(network, network.inputs.nominal());
    const every = new EverySituation(setting);
    const looked: { failure: Failure; positions: Uint8Array; asked: Uint8Array; classes: string }[] = [];
    const count = everyFailure(setting, every, failures, present, (failure, { positions, asked }, classes) => looked.push({ failure, positions, asked, classes: classes!.join() }));
    expect(network.rows).toHaveLength(3);
    expect(count.covered).toBe(8 * failures.length);
    expect(count.solved + count.exchanged).toBe(looked.length);
    expect(count.solved).toBeLessThan(count.covered);
    const whole = states.map((positions) => afresh(positions, undefined));
    for (const failure of failures)
      states.forEach((positions, n) => {
        const found = looked.filter((one) => one.failure === failure && one.asked.every((asked, row) => asked === 0 || one.positions[row] === positions[row]));
        expect(found.length).toBeLessThanOrEqual(1);
        // What was not solved anew is as without the failure.
        expect(`${failure.words} in ${positions.join()}: ${found[0]?.classes ?? whole[n]!}`).toBe(`${failure.words} in ${positions.join()}: ${afresh(positions, failure)}`);
      });
  });
});

describe('pairs of failures', () => {
  const words = (search: PairSearch, found: readonly PairFound[]): string[] =>
    found.map((one) => {
      const { failures, consequence, noticed, state } = search.effect(one);
      return `${failures.map((failure) => failure.words).join(' + ')}: ${consequence}, ${noticed}, ${state.words}`;
    });

  function all(search: PairSearch): readonly PairFound[] {
    const pairs = failurePairs(search);
    for (;;) {
      const step = pairs.next();
      if (step.done === true) return step.value;
    }
  }

  test.each(ALL_DEMOS)('%s: solving only where both matter finds what solving every case finds', (name) => {
    const studied = failureStudy(demoText(name));
    const search = new PairSearch(studied);
    const found = words(search, all(search));
    const { failures } = studied;
    const alone = failures.map((failure) => rank(studied.worstOf([failure], search.states)));
    const brute: string[] = [];
    let pairs = 0;
    failures.forEach((a, first) => {
      studied.restart();
      for (let second = first + 1; second < failures.length; second++) {
        const b = failures[second]!;
        if (a.part === b.part) continue;
        pairs++;
        const { consequence, noticed, state, ...own } = studied.worstOf([a, b], search.states);
        if (rank({ consequence, noticed, state, ...own }) > Math.max(alone[first]!, alone[second]!)) brute.push(`${a.words} + ${b.words}: ${consequence}, ${noticed}, ${state.words}`);
      }
    });
    expect(found.toSorted()).toEqual(brute.sort());
    expect(search.of).toBe(pairs);
    if (name === 'crush10s') expect(found).toContain('isolator Q2 welded + lamp P2 open: can move, not at all, after “insert LK1”');
  });

  it('covers pairs times states, and each row gives the same in any order, so in any number of threads', () => {
    const forwards = new PairSearch(failureStudy(demoText('crush10s')));
    const rows = Array.from({ length: forwards.rows }, (_, first) => forwards.row(first));
    const backwards = new PairSearch(failureStudy(demoText('crush10s')));
    const reversed = Array.from({ length: backwards.rows }, (_, k) => backwards.row(backwards.rows - 1 - k)).reverse();
    expect(reversed).toEqual(rows);
    expect(rows.reduce((sum, row) => sum + row.pairs, 0)).toBe(forwards.of);
    expect(rows.reduce((sum, row) => sum + row.covered, 0)).toBe(forwards.of * (forwards.states.length + 1));
    expect(words(forwards, byRank(forwards, rows.flatMap((row) => row.found)))).toEqual(words(forwards, all(forwards)));
  });
});
