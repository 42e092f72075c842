import type { Answer, Item } from '../questions/answer.ts';
import type { Block, Paper } from './document/document.ts';
import { byConcern, capital, decidingWords, editWords, headline, limitWords, quoted, shareCell, spreadWords, valueWords } from './report/words.ts';
import { answerTo, type PaperSource } from './source.ts';

/** A paper for some of the answers: its entries as a table, then what they show and rest on; none where none was asked. */
export function answerPaper(source: PaperSource, title: string, lead: string, ids: readonly string[]): Paper | undefined {
  const answers = ids.flatMap((id) => answerTo(source, id) ?? []);
  if (answers.length === 0) return undefined;
  return { title, stamp: source.stamp, layout: 'wide', lead, blocks: answers.flatMap((answer) => answerBlocks(answer)) };
}

/** All answers with their evidence, for the build log. */
export function designReport(source: PaperSource): Paper {
  const answers = byConcern(source.answers);
  return {
    title: 'Design report',
    stamp: source.stamp,
    layout: 'page',
    lead: `${headline(answers)} ${source.samples} samples of the spreads, seed ${source.seed}.`,
    blocks: [
      {
        type: 'table', title: 'All answers', columns: [{ name: 'Question' }, { name: 'Verdict' }, { name: 'What decides' }, { name: 'Passes', figures: true }],
        rows: answers.map((answer) => [answer.question, answer.verdict, decides(answer), shareCell(answer)]),
      },
      ...answers.flatMap((answer) => answerBlocks(answer)),
    ],
  };
}

function decides(answer: Answer): string {
  const { where, figure, rest } = decidingWords(answer);
  return `${where === undefined ? '' : `${where}: `}${figure}${rest}`;
}

/** One answer: sentence, entries, evidence, advice, cautions, basis. */
export function answerBlocks(answer: Answer): Block[] {
  const list = (title: string, lines: readonly string[]): Block[] => (lines.length === 0 ? [] : [{ type: 'list', title, lines }]);
  return [
    { type: 'verdict', verdict: answer.verdict, question: answer.question, says: answer.refused === undefined ? answer.says : `Refused: ${answer.refused}` },
    ...list('What is missing', answer.needs),
    ...(answer.items.length === 0 ? [] : [itemTable(answer.items)]),
    ...answer.evidence.map((evidence): Block => (evidence.type === 'plot'
      ? { type: 'chart', plot: evidence }
      : { type: 'table', title: evidence.title, columns: evidence.head.map((name, at) => ({ name: capital(name), ...(at > 0 && evidence.rows.every((row) => /^[\u2212-]?\d|^$/.test(row[at] ?? '')) ? { figures: true as const } : {}) })), rows: evidence.rows })),
    ...list('What to change', answer.advice.map(({ what, free, edits, verdict, says, caution }) =>
      `${what}${free ? ' (costs nothing)' : ''}. Asked again: ${verdict}. ${says} In the file: ${edits.map(editWords).join('; ')}.${caution === undefined ? '' : ` Caution: ${caution}`}`)),
    ...answer.cautions.map((text): Block => ({ type: 'caution', text })),
    ...list('Not a problem on this machine', answer.notAProblem),
    ...list('What this rests on', answer.basis.map(quoted)),
  ];
}

function itemTable(items: readonly Item[]): Block {
  return {
    type: 'table', title: 'Each one',
    columns: [{ name: 'Where' }, { name: 'Verdict' }, { name: 'Figure' }, { name: 'Limit' }, { name: 'Spread' }, { name: 'Passes', figures: true }, { name: 'What it says' }],
    rows: items.map((item) => [
      `${item.where}${item.slip ? ' (only by a slip of the crew)' : ''}`, item.verdict, item.figure === undefined ? '' : `${valueWords(item.figure.value, item.figure.dimension)} ${item.measure}`,
      limitWords(item) ?? '', item.figure === undefined ? '' : spreadWords(item.figure), shareCell(item), item.says,
    ]),
  };
}
