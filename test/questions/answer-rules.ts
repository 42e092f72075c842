import { expect } from 'vitest';
import type { Answer, Verdict } from '../../src/questions/answer.ts';

const RANK: Record<Verdict, number> = { good: 0, 'cannot tell': 1, marginal: 2, bad: 3 };
const UNITS: Readonly<Record<string, string>> = {
  voltage: 'V', time: 's', resistance: 'Ω', current: 'A', energy: 'J', power: 'W', charge: 'C', capacitance: 'F', 'let-through': 'A²s', temperature: '°C', ratio: '1', count: '1', mass: 'kg',
};

/** Words that only a number gone wrong leaves in a sentence, unless they stand in the file. */
const GONE_WRONG = /NaN|undefined|Infinity|\[object/;

/** What every answer has to be, whatever the machine; `where` names it in a failure, `text` is the machine's file. */
export function keepsTheRules(answer: Answer, where: string, text = ''): void {
  walk(answer, `${where} ${answer.id}`);
  // JSON drops NaN and undefined without a word: what comes back has to be what went in, but for the undefined.
  expect(JSON.parse(JSON.stringify(answer)), where).toEqual(withoutUndefined(answer));
  for (const entry of [answer, ...answer.items]) {
    const { figure, limit, margin, passes } = entry;
    if (passes !== undefined) expect(passes >= 0 && passes <= 1, `${where}: passes ${passes}`).toBe(true);
    if (figure !== undefined) {
      expect(figure.low <= figure.value && figure.value <= figure.high, `${where}: spread of ${JSON.stringify(figure)}`).toBe(true);
      expect(figure.unit, where).toBe(UNITS[figure.dimension]);
    }
    expect(margin === undefined, where).toBe(figure === undefined || limit === undefined);
    // Negative beyond the limit, on whichever side that lies: a coil has to keep more than its limit.
    if (margin !== undefined) expect(Math.abs(Math.abs(margin) - Math.abs(limit! - figure!.value)), `${where}: margin`).toBeLessThanOrEqual(1e-9 * Math.abs(limit!) + 1e-12);
  }
  const counted = answer.items.filter((item) => !item.slip);
  if (answer.verdict === 'cannot tell' && counted.length === 0) {
    expect(answer.needs.length + (answer.refused === undefined ? 0 : 1), `${where}: a cause`).toBeGreaterThan(0);
    return;
  }
  const verdicts = counted.map((item) => item.verdict);
  // The items of programming are ways to choose from: that of the machine itself decides, or the best of the others.
  if (answer.id === 'programming') expect(verdicts, where).toContain(answer.verdict);
  else expect(RANK[answer.verdict], `${where} ${answer.id}: ${answer.verdict} of ${verdicts.join()}`).toBe(Math.max(0, ...verdicts.map((verdict) => RANK[verdict])));
  expect(answer.says.length, where).toBeGreaterThan(0);
  expect(GONE_WRONG.test(JSON.stringify(answer)) && !GONE_WRONG.test(text), `${where}: words`).toBe(false);
}

function walk(value: unknown, path: string): void {
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) expect.fail(`${path} is ${value}`);
  } else if (typeof value === 'function' || typeof value === 'symbol' || typeof value === 'bigint') expect.fail(`${path} is a ${typeof value}`);
  else if (typeof value === 'object' && value !== null) for (const [key, inner] of Object.entries(value)) walk(inner, `${path}.${key}`);
}

function withoutUndefined(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(withoutUndefined);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).flatMap(([key, inner]) => (inner === undefined ? [] : [[key, withoutUndefined(inner)]])));
}
