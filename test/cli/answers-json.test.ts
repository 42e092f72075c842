import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { answersJson } from '../../src/cli/answers-json.ts';
import { HOLD, REFUSED, reportOf, SPARK, STALL, UNTOLD } from './fixture.ts';
import { schemaViolations } from './schema-check.ts';

const schema = JSON.parse(readFileSync(new URL('../../schema/answers.schema.json', import.meta.url), 'utf8')) as Readonly<Record<string, unknown>>;

describe('the JSON answers', () => {
  it('fit the published schema, for every verdict', () => {
    const parsed: unknown = JSON.parse(answersJson(reportOf([SPARK, STALL, HOLD, UNTOLD, REFUSED])));
    expect(schemaViolations(parsed, schema)).toEqual([]);
  });

  it('carry the promised names, at every level, and null for what is missing', () => {
    const { answers, ...top } = JSON.parse(answersJson(reportOf([SPARK, UNTOLD]))) as { answers: Record<string, unknown>[] };
    expect(Object.keys(top)).toEqual(['machine', 'fingerprint', 'version', 'seed', 'samples']);
    const promised = ['id', 'question', 'verdict', 'figure', 'limit', 'margin', 'passes', 'items', 'needs', 'refused', 'parts', 'evidence', 'advice', 'basis', 'cautions'];
    for (const answer of answers) expect(Object.keys(answer)).toEqual(expect.arrayContaining(promised));
    expect(answers[0]?.['figure']).toEqual({ value: 33.7, unit: 'V', low: 31.2, high: 34.4 });
    expect((answers[0]?.['items'] as object[])[0]).toMatchObject({ where: 'drive isolator Q1 to ON', verdict: 'bad', limit: 4, margin: -29.7, passes: 0 });
    expect(answers[1]).toMatchObject({ figure: null, limit: null, margin: null, passes: null, refused: null, needs: ['short-circuit trip of B1'] });
  });

  it('never hold a number that JSON has not', () => {
    const endless = { ...HOLD, figure: { value: Infinity, unit: 's', dimension: 'time', low: NaN, high: Infinity }, margin: -Infinity } as const;
    const broken = { ...SPARK, evidence: [{ type: 'plot', title: 't', x: { name: 'a', unit: 's' }, y: { name: 'b', unit: 'V' }, curves: [{ name: 'c', x: [0, 1], y: [NaN, 1] }], thresholds: [], marks: [] }] } as const;
    const text = answersJson(reportOf([endless, broken]));
    expect(text).not.toMatch(/NaN|Infinity|undefined/);
    expect(schemaViolations(JSON.parse(text), schema)).toEqual([]);
  });
});

describe('the schema check', () => {
  it('finds a missing, a wrong and an unknown field', () => {
    const report = JSON.parse(answersJson(reportOf([SPARK]))) as { answers: Record<string, unknown>[] };
    const [answer] = report.answers;
    const planted = { ...report, answers: [{ ...answer, verdict: 'fine', passes: 1.2, extra: 1, items: undefined }] };
    delete (planted.answers[0] as Record<string, unknown>)['items'];
    const found = schemaViolations(planted, schema).join('\n');
    for (const path of ['verdict', 'passes', 'extra', 'items']) expect(found).toContain(`$.answers[0].${path}`);
  });
});
