import type { Answer, Evidence } from '../questions/answer.ts';
import { answerBlocks } from './answer-papers.ts';
import type { Block, Paper, Table } from './document/document.ts';
import { answerTo, type PaperSource } from './source.ts';

type EvidenceTable = Extract<Evidence, { type: 'table' }>;

/** What each consequence of a failure means to somebody who stands beside the machine, the gravest first. */
const MEANS: readonly (readonly [consequence: string, means: string])[] = [
  ['can move', 'something that is switched off can turn its motor'],
  ['reversed', 'electronics are fed the wrong way round'],
  ['burns', 'a lead or a resistor is spoilt before anything opens'],
  ['wakes', 'something that is switched off starts, but cannot move'],
  ['a guard opens', 'a fuse or a protection opens in time'],
  ['goes dark', 'something that is switched on stops'],
];
const SILENT = 'nothing seen';

const NOTICED: readonly (readonly [word: string, means: string])[] = [
  ['by a lamp', 'a lamp is lit or dark when it should not be'],
  ['nothing starts', 'something that should start does not'],
  ['by its mirror contact', 'the contactor tells it at the next start'],
  ['by smoke', 'only by the smell'],
  ['not at all', 'until a second thing fails'],
];

/** Every single failure at its worst, for an inspector: what does harm first, what nobody would see last. */
export function faultsPaper(source: PaperSource): Paper | undefined {
  const answer = answerTo(source, 'faults');
  if (answer === undefined) return undefined;
  const every = everyFailure(answer);
  return {
    title: 'Fault table',
    stamp: source.stamp,
    layout: 'wide',
    lead: 'What one failed part or one loose joint does at its worst, and how the crew would notice. One failure at a time.',
    blocks: [
      { type: 'verdict', verdict: answer.verdict, question: answer.question, says: answer.refused === undefined ? answer.says : `Refused: ${answer.refused}` },
      ...(every === undefined ? answerBlocks(answer).slice(1) : [...legend(every), faultTable(every), ...silentOnes(every), ...answerBlocks({ ...answer, items: [], evidence: answer.evidence.filter((one) => one !== every) }).slice(1)]),
    ],
  };
}

/** All failures as one table, for a spreadsheet. */
export function faultsTable(source: PaperSource): Table | undefined {
  const answer = answerTo(source, 'faults');
  const every = answer === undefined ? undefined : everyFailure(answer);
  return every === undefined ? undefined : { ...faultTable(every), rows: every.rows };
}

function everyFailure({ evidence }: Answer): EvidenceTable | undefined {
  return evidence.find((one): one is EvidenceTable => one.type === 'table' && one.head.length === COLUMNS.length && one.head[0] === 'failure');
}

const COLUMNS = ['Failure', 'What it does', 'Worst when', 'Which parts; current and how soon', 'Noticed'] as const;

function legend({ rows }: EvidenceTable): Block[] {
  const [does, noticed] = [new Set(rows.map((row) => row[1])), new Set(rows.map((row) => row[4]))];
  const of = (list: typeof MEANS, there: ReadonlySet<string | undefined>): { readonly name: string; readonly value: string }[] => list.filter(([word]) => there.has(word)).map(([name, value]) => ({ name, value }));
  const facts = [...of(MEANS, does), ...of(NOTICED, noticed).map(({ name, value }) => ({ name: `noticed ${name}`.replace('noticed nothing', 'nothing'), value }))];
  return facts.length === 0 ? [] : [{ type: 'facts', title: 'How to read the table', facts }];
}

function faultTable({ rows }: EvidenceTable): Table {
  const shown = rows.filter((row) => row[1] !== SILENT);
  return {
    type: 'table',
    title: `${shown.length} of ${rows.length} single failures that do something, the gravest first`,
    columns: COLUMNS.map((name) => ({ name })),
    rows: shown,
  };
}

function silentOnes({ rows }: EvidenceTable): Block[] {
  const silent = rows.filter((row) => row[1] === SILENT).map(([failure = '']) => failure);
  return silent.length === 0 ? [] : [{ type: 'list', title: `${silent.length} that nobody would feel or see in these states`, lines: [`${silent.join(', ')}.`] }];
}
