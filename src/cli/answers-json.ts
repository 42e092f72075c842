import type { Advice, Answer, Evidence, Figure, Item, PlotAxis } from '../questions/answer.ts';
import type { Report } from '../sheets/report/report.ts';

/**
 * A report as one JSON object, as schema/answers.schema.json describes it: SI values, and null for what is not known.
 * Ends with a line break.
 */
export function answersJson(report: Report): string {
  const { machine, fingerprint, version, seed, samples, answers } = report;
  // Written field by field: the names are a promise to scripts, those inside the program are not.
  return `${JSON.stringify({ machine, fingerprint, version, seed, samples, answers: answers.map(answerOf) }, nullForMissing, 2)}\n`;
}

function answerOf(answer: Answer): Readonly<Record<string, unknown>> {
  return {
    id: answer.id,
    question: answer.question,
    verdict: answer.verdict,
    says: answer.says,
    figure: figureOf(answer.figure),
    limit: answer.limit,
    margin: answer.margin,
    passes: answer.passes,
    items: answer.items.map(itemOf),
    needs: answer.needs,
    refused: answer.refused,
    parts: answer.parts,
    evidence: answer.evidence.map(evidenceOf),
    advice: answer.advice.map(adviceOf),
    basis: answer.basis,
    cautions: answer.cautions,
    notAProblem: answer.notAProblem,
  };
}

function itemOf({ where, verdict, measure, figure, limit, margin, passes, parts, says, slip }: Item): Readonly<Record<string, unknown>> {
  return { where, verdict, measure, figure: figureOf(figure), limit, margin, passes, parts, says, slip };
}

function figureOf(figure: Figure | undefined): Readonly<Record<string, unknown>> | undefined {
  return figure === undefined ? undefined : { value: figure.value, unit: figure.unit, low: figure.low, high: figure.high };
}

function evidenceOf(evidence: Evidence): Readonly<Record<string, unknown>> {
  if (evidence.type === 'table') return { type: 'table', title: evidence.title, head: evidence.head, rows: evidence.rows };
  const { title, x, y, curves, thresholds, marks } = evidence;
  return {
    type: 'plot',
    title,
    x: axisOf(x),
    y: axisOf(y),
    curves: curves.map((curve) => ({ name: curve.name, dashed: curve.dashed ?? false, x: curve.x, y: curve.y })),
    thresholds,
    marks,
  };
}

function axisOf({ name, unit, log }: PlotAxis): Readonly<Record<string, unknown>> {
  return { name, unit, log: log ?? false };
}

function adviceOf({ what, free, edits, verdict, says, caution }: Advice): Readonly<Record<string, unknown>> {
  return { what, free, edits, verdict, says, caution };
}

/** What is not a finite number JSON writes as null by itself (ECMA-262, SerializeJSONProperty). */
function nullForMissing(_key: string, value: unknown): unknown {
  return value === undefined ? null : value;
}
