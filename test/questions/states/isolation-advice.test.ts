import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { expectAdviceToHold } from '../advice-round-trip.ts';
import { branchesFile } from '../branches.ts';
import { demoText } from '../machines.ts';

describe('advice against a bridge, written into the file', () => {
  it.each([
    ['BRANCHES2 with a shared soft start', branchesFile(2, { softStart: 'shared' }), /blocking diode/],
    ['BRANCHES3 with a shared soft start', branchesFile(3, { softStart: 'shared', fused: true }), /blocking diode/],
    ['the spinner that lacks a diode', readFileSync(new URL('../../../machines/flawed/spin8s-missing-diode.yaml', import.meta.url), 'utf8'), /blocking diode/],
    ['LIFT6S with its red wires in parallel', demoText('lift6s'), /red wire out/],
  ])('gives %s the verdict that it promised', async (_name, text, what) => {
    const advice = await expectAdviceToHold(text, 'isolation');
    expect(advice.map((one) => one.what).join('; ')).toMatch(what);
    // What is advised takes the bridge away, not only the worst of it.
    expect(advice.some(({ verdict }) => verdict === 'good')).toBe(true);
  }, 60_000);
});
