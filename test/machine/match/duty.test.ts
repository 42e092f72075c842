import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DUTY_ACTS } from '../../../src/machine/duty/duty.ts';
import { drawDuty } from '../../../src/machine/duty/draw.ts';
import { readDutyLog } from '../../../src/machine/duty/log.ts';
import { DUTY_NAMES, readyMadeDuty } from '../../../src/machine/duty/ready-made.ts';
import { formatIssue } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { logActions } from '../../../src/machine/match/log-actions.ts';
import { runMatch } from '../../../src/machine/match/run.ts';
import { demoMatch, dutyOf, fought, matchOf, numbersIn, plain } from './machines.ts';

function troubles(duty: string): string[] {
  const file = readMachine(`${plain({})}duty:${duty}\n`);
  return file.ok ? [] : file.issues.filter(({ severity }) => severity === 'error').map((issue) => formatIssue(issue, 'm.yaml'));
}

describe('the duty of a machine file', () => {
  const line = plain({}).split('\n').length;

  it('names line, field and the nearest spelling of what is wrong', () => {
    expect(troubles(' usuall')).toEqual([expect.stringMatching(new RegExp(`^m\\.yaml:${line}:7: duty: expected "gentle", .*found "usuall"; did you mean "usual"\\?$`))]);
    expect(troubles('\n  - { do: pussh, at: 3 s }')[0]).toContain('duty.1.do: expected');
    expect(troubles('\n  - { do: pussh, at: 3 s }')[0]).toContain('did you mean "push"?');
    expect(troubles('\n  - { do: push, at: 3 s }\n  - { do: hit, evry: 3 s }')[0]).toContain(`m.yaml:${line + 2}:16: duty.2.evry: expected a field of "hit", found "evry"; did you mean "every"?`);
    expect(troubles('\n  - { do: hit, with: M9, every: 3 s }')[0]).toContain('duty.1.with: expected the id of a motor or servo');
    expect(troubles('\n  - { do: hit, with: T1, every: 3 s }')[0]).toContain('T1, which is a motor controller');
    expect(troubles('\n  - { do: hit, every: 3 A }')[0]).toContain('duty.1.every: expected a time');
    expect(troubles('\n  - { do: hit }')[0]).toContain('"at" when it happens once, or "every" when it comes again, found neither');
    expect(troubles('\n  - { do: hit, at: 3 s, every: 3 s }')[0]).toContain('found both');
    expect(troubles('\n  - { push: yes }')[0]).toContain('"do: push"');
    expect(troubles('\n  - push')[0]).toContain('duty.1: expected a line like');
    expect(troubles('\n  - { do: push, every: 3 s, takes: 10 % }')[0]).toContain('a field of "push"');
    expect(troubles('\n  - { do: push, every: 3 s, from: 20 s, until: 10 s }')[0]).toContain('a time after "from"');
  });

  it('is the usual one where the file says nothing', () => {
    const file = readMachine(plain({}));
    expect(file.ok && file.machine.duty.name).toBe('usual');
  });

  it.each(DUTY_NAMES)('%s is ready made, begins within the match and comes in order', (name) => {
    const times = drawDuty(readyMadeDuty(name)!, 7, 180).map(({ start_s }) => start_s);
    expect(times.length).toBeGreaterThan(5);
    expect([...times].sort((a, b) => a - b)).toEqual(times);
    expect(times.at(-1)).toBeLessThan(180);
  });

  it('stays within its bounds over 200 seeds', () => {
    const duty = dutyOf('{ do: push, every: 10 s (8 to 12), for: 2 s (1 to 3), throttle: 50 % (40 to 60), from: 20 s, until: 100 s }');
    for (let seed = 0; seed < 200; seed++) {
      const drawn = drawDuty(duty, seed, 180);
      drawn.forEach((one, k) => {
        expect(one.start_s).toBeGreaterThanOrEqual(20);
        expect(one.start_s).toBeLessThan(100);
        expect(one.end_s - one.start_s).toBeGreaterThanOrEqual(1);
        expect(one.end_s - one.start_s).toBeLessThanOrEqual(3);
        expect(one.throttle).toBeGreaterThanOrEqual(0.4);
        expect(one.throttle).toBeLessThanOrEqual(0.6);
        if (k > 0) expect(one.start_s - drawn[k - 1]!.start_s).toBeGreaterThanOrEqual(8);
      });
    }
  });

  it('changes nothing of the other lines when one line changes', () => {
    const [one, other] = ['{ do: hit, every: 5 s (3 to 8) }', '{ do: hit, every: 9 s (3 to 12) }'].map((first) => drawDuty(dutyOf(first, '{ do: drive, every: 4 s (2 to 6) }'), 3, 180).filter(({ act }) => act === 'drive'));
    expect(other).toEqual(one);
  });

  it('refuses or gives finite figures for 60 random duties, seed 20261125', () => {
    const match = demoMatch('lift6s');
    const number = fc.oneof(fc.constantFrom('0', '1e-9', '0.05', '1', '3', '20', '100', '3600', '1e9'), fc.double({ min: 0, max: 200, noNaN: true }).map(String));
    const one = fc.record({ act: fc.constantFrom(...DUTY_ACTS), who: fc.constantFrom('M1', 'M5', 'drive', 'lifters', 'arms', 'weapons', 'servos'), key: fc.constantFrom('at', 'every'), time: number, lasts: number, share: number });
    const line = ({ act, who, key, time, lasts, share }: { act: string; who: string; key: string; time: string; lasts: string; share: string }): string => {
      const takes = act === 'hit' ? `takes: ${share} %` : act === 'push' ? `for: ${lasts} s, against: ${share} %` : act === 'servo' || act === 'coast' ? `for: ${lasts} s` : `for: ${lasts} s, throttle: ${share} %`;
      return `{ do: ${act}, with: ${who}, ${key}: ${time} s, ${takes} }`;
    };
    fc.assert(fc.property(fc.array(one, { minLength: 1, maxLength: 5 }), fc.nat(1e6), (lines, seed) => {
      const motors = plain({}).replace('  M1:', '  M5: { kind: motor }\n  M1:');
      const file = readMachine(`${motors}duty:\n${lines.map((each) => `  - ${line(each)}\n`).join('')}`);
      if (!file.ok) return;
      const outcome = runMatch(match, { seed, duty: file.machine.duty, length_s: 10 });
      if (outcome.status === 'done') for (const value of numbersIn(outcome.record)) expect(Number.isFinite(value)).toBe(true);
      else expect(outcome.refusal.cause).not.toBe('a value left the finite numbers');
    }), { numRuns: 60, seed: 20261125 });
  });
});

describe('an imported log', () => {
  const parts = ['T1', 'M1'];

  it('reads throttles and currents, in other units, with gaps and other columns', () => {
    const read = readDutyLog('\uFEFF# from the radio\ntime (ms);T1 throttle (%);M1 current;note\n1000;50;1,5;a\n\n1100;;2,5;\n1200;-100;;x\n', parts);
    expect(read.ok).toBe(true);
    if (!read.ok) return;
    expect([...read.log.time_s].map((t) => Number(t.toFixed(9)))).toEqual([0, 0.1, 0.2]);
    expect(read.log.columns.map(({ part, what, values }) => [part, what, [...values]])).toEqual([['T1', 'throttle', [0.5, 0.5, -1]], ['M1', 'current', [1.5, 2.5, 2.5]]]);
  });

  it.each([
    ['', 1, 'a line of names and lines of numbers'],
    ['t,T1 throttle\n0,1', 1, 'a column "time"'],
    ['time (weeks),T1 throttle\n0,1', 1, 'a time in s, ms, µs or min'],
    ['time,T9 throttle\n0,1', 1, 'a column of a controller or motor that is driven'],
    ['time,speed\n0,1', 1, 'a column like "T1 throttle" or "M1 current"'],
    ['time,T1 throttle\n0,1\n0,1', 3, 'a time after "0"'],
    ['time,T1 throttle\n0,1\nx,1', 3, 'a time'],
    ['time,T1 throttle\n0,80', 2, 'a throttle from -1 to 1 (or from -100 to 100 under "(%)")'],
    ['time,T1 throttle\n0,NaN', 2, 'a throttle from -1 to 1 (or from -100 to 100 under "(%)")'],
    ['time,M1 current\n0,1e400', 2, 'a current in A'],
  ])('names what is wrong in %j', (text, at, expected) => {
    const read = readDutyLog(text, parts);
    expect(read.ok ? [] : read.issues[0]).toMatchObject({ line: at, expected });
  });

  // A held motor carries what the log says: 80 A for ten seconds of twenty.
  it('drives the motor with the current that was logged', () => {
    const match = matchOf(plain({ motor: ', load inertia: 100 kg·m²' }));
    const read = readDutyLog('time,M1 current\n0,80\n10,0\n20,0\n', parts);
    if (!read.ok) throw new Error('log');
    const record = fought(match, { length_s: 20, played: { name: 'log', actions: logActions(match, read.log) } });
    expect(record.controllers[0]!.motorRms_A).toBeCloseTo(80 * Math.SQRT1_2, 0);
    expect(record.duty).toBe('log');
  });
});
