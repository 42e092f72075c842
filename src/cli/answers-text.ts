import type { Advice, Answer, Item } from '../questions/answer.ts';
import type { Report } from '../sheets/report/report.ts';
import { byConcern, decidingWords, editWords, headline, limitWords, shareCell, shareSentence, spreadWords, valueWords } from '../sheets/report/words.ts';
import { hang, printable, table, wrap } from './layout.ts';
import { markOf, MARK_WIDTH, type Terminal } from './terminal.ts';

/** More alarms than this at a time, and none is read. */
const MOST_OPEN = 5;
const BODY = '    ';

export interface TextOptions {
  readonly fileName: string;
  /** Whether answers that are not bad stand open too: those that were asked for by name. */
  readonly openAll: boolean;
}

/** The answers for people, worst first, laid out for the terminal's width; ends with a line break. */
export function answersText(report: Report, terminal: Terminal, { fileName, openAll }: TextOptions): string {
  const answers = byConcern(report.answers);
  const bad = answers.filter(({ verdict }) => verdict === 'bad');
  const counted = bad.slice(MOST_OPEN);
  const shown = answers.filter((answer) => !counted.includes(answer));
  const lines = [
    ...wrap(report.machine, terminal.columns).map((line) => terminal.ink('bold', line)),
    ...wrap(`${fileName}, file id ${report.fingerprint}`, terminal.columns),
    ...wrap(headline(answers), terminal.columns).map((line) => terminal.ink('bold', line)),
  ];
  const told: Told = new Map();
  for (const answer of shown) {
    const open = openAll || answer.verdict === 'bad';
    if (open || lines.at(-1)?.startsWith(BODY) === true || answer === shown[0]) lines.push('');
    lines.push(...rowOf(answer, terminal), ...(open ? bodyOf(answer, report.samples, terminal, told) : []));
    if (answer === bad[MOST_OPEN - 1] && counted.length > 0) lines.push('', ...countedLines(counted, fileName, terminal));
  }
  return `${lines.join('\n')}\n`;
}

/** Mark and question, and under them the deciding figure against its limit. */
function rowOf(answer: Answer, terminal: Terminal): string[] {
  const indent = ' '.repeat(MARK_WIDTH + 1);
  const { where, figure, rest } = decidingWords(answer);
  const [first = '', ...more] = wrap(answer.question, terminal.columns - indent.length);
  return [
    `${markOf(answer.verdict, terminal)} ${terminal.ink('bold', first)}`,
    ...more.map((line) => indent + terminal.ink('bold', line)),
    ...hang(indent, `${where === undefined ? '' : `${where}: `}${figure}${rest}`, terminal.columns),
  ];
}

/** The question under which a change stands in full, by what it writes in the file. */
type Told = Map<string, string>;

function bodyOf(answer: Answer, samples: number, terminal: Terminal, told: Told): string[] {
  const { columns } = terminal;
  const share = shareSentence(answer, samples);
  const blocks = [
    [...(saidInRow(answer) ? [] : hang(BODY, answer.says, columns)), ...(share === '' ? [] : hang(BODY, share, columns))],
    itemsOf(answer.items, terminal),
    answer.items.filter(({ verdict, slip, says }) => verdict !== 'good' && !slip && !answer.says.includes(withoutStop(says))).flatMap(({ where, says }) => hang(`${BODY}- `, `${where}: ${says}`, columns)),
    answer.advice.flatMap((advice, index) => (index === 0 ? [titled('What to change', terminal)] : []).concat(changeOf(advice, index, terminal, answer.question, told))),
    bullets('Caution', answer.cautions, terminal),
    bullets('Not a problem', answer.notAProblem, terminal),
    bullets('Rests on', answer.basis, terminal),
  ];
  return blocks.filter((block) => block.length > 0).flatMap((block) => ['', ...block]);
}

/** The row of an answer without a figure already is its sentence. */
function saidInRow({ figure, needs, refused }: Answer): boolean {
  return figure === undefined && needs.length === 0 && refused === undefined;
}

function withoutStop(sentence: string): string {
  return sentence.replace(/\.$/, '');
}

function itemsOf(items: readonly Item[], terminal: Terminal): string[] {
  const [first] = items;
  if (first === undefined) return [];
  const sharedMeasure = items.every(({ measure }) => measure === first.measure);
  const plain = { ink: (_: unknown, text: string) => text };
  const { head, rows } = table([
    { head: '', cells: items.map(({ verdict }) => markOf(verdict, plain, 0)) },
    { head: 'where', cells: items.map(({ where, slip }) => (slip ? `${where} (only by a slip)` : where)), flexible: true },
    { head: sharedMeasure ? first.measure : 'figure', cells: items.map((item) => figureOf(item, sharedMeasure)), flexible: !sharedMeasure },
    { head: 'limit', cells: items.map((item) => limitWords(item) ?? ''), flexible: true },
    { head: 'spread', cells: items.map(({ figure }) => (figure === undefined ? '' : spreadWords(figure))), extra: true },
    { head: 'passes', cells: items.map(shareCell), extra: true },
  ], terminal.columns - BODY.length);
  const marked = rows.flatMap((lines, index) => {
    const item = items[index] ?? first;
    const width = markOf(item.verdict, plain, 0).length;
    return lines.map((line, at) => BODY + (at === 0 ? markOf(item.verdict, terminal, 0) + line.slice(width) : line));
  });
  return [...head.map((line) => BODY + terminal.ink('dim', line)), ...marked];
}

function figureOf({ figure, measure }: Item, sharedMeasure: boolean): string {
  if (figure === undefined) return '';
  const value = valueWords(figure.value, figure.dimension);
  return sharedMeasure ? value : `${value} ${measure}`;
}

/** A change with what it makes of this question; what to write and what to mind stand under the first question that it helps. */
function changeOf({ what, free, edits, verdict, says, caution }: Advice, index: number, terminal: Terminal, question: string, told: Told): string[] {
  const { columns } = terminal;
  const key = JSON.stringify(edits);
  const before = told.get(key);
  if (before === undefined) told.set(key, question);
  const deeper = `${BODY}   `;
  const mark = markOf(verdict, terminal, 0);
  const width = markOf(verdict, { ink: (_, text) => text }, 0).length;
  const [first = '', ...more] = wrap(`asked again: ${says}`, columns - deeper.length - width - 1);
  const hanging = ' '.repeat(deeper.length + width + 1);
  return [
    ...hang(`${BODY}${index + 1}. `, free ? `${what} (costs nothing)` : what, columns),
    `${deeper}${mark} ${first}`,
    ...more.map((line) => hanging + line),
    ...(before !== undefined ? hang(deeper, `what to write stands under “${before}”`, columns) : [
      ...edits.flatMap((edit) => hang(`${deeper}in the file: `, editWords(edit), columns)),
      ...(caution === undefined ? [] : hang(`${deeper}caution: `, caution, columns)),
    ]),
  ];
}

function bullets(title: string, lines: readonly string[], terminal: Terminal): string[] {
  if (lines.length === 0) return [];
  return [titled(title, terminal), ...lines.flatMap((line) => hang(`${BODY}- `, line, terminal.columns))];
}

function titled(title: string, { ink }: Terminal): string {
  return BODY + ink('bold', title);
}

function countedLines(counted: readonly Answer[], fileName: string, terminal: Terminal): string[] {
  const ids = counted.map(({ id }) => id).join(',');
  const more = counted.length === 1 ? '1 more bad answer' : `${counted.length} more bad answers`;
  return [
    ...wrap(`${more}: ${counted.map(({ question }) => question).join(' ')}`, terminal.columns),
    `  ampwright ask ${printable(fileName)} --only ${ids}`,
  ];
}
