import { inspectedLines } from '../../questions/inspection.ts';
import { EMPTY_BOX, type Paper } from '../document/document.ts';
import { capital, limitWords, valueWords } from '../report/words.ts';
import { answerTo, type PaperSource } from '../source.ts';

/** The rule set line by line: what is computed with its number, and apart from it what the crew looks at and ticks. */
export function inspectionPaper(source: PaperSource): Paper {
  const { machine, stamp, rules } = source;
  const lines = inspectedLines(machine, rules, (id) => answerTo(source, id));
  const computed = lines.filter((line) => !line.crew);
  const crew = lines.filter((line) => line.crew);
  return {
    title: 'Inspection sheet',
    stamp,
    layout: 'page',
    lead: `${rules.name}, dated ${rules.dated}. ${computed.length} lines computed from the machine file, ${crew.length} left for the crew.`,
    blocks: [
      { type: 'caution', text: 'not an approval. The program sees the file, not the machine; rules change every year; the inspector decides.' },
      {
        type: 'table', title: 'Computed by the program',
        columns: [{ name: 'Line' }, { name: 'Rule' }, { name: 'Result' }, { name: 'Figure' }, { name: 'What it says' }, { name: 'Source of the rule' }],
        rows: computed.map(({ item, number, rule }) => [
          String(number), item.where, item.verdict === 'bad' ? 'NOT MET' : item.verdict === 'good' ? 'met' : item.verdict,
          item.figure === undefined ? '' : `${valueWords(item.figure.value, item.figure.dimension)} ${item.measure}${item.limit === undefined ? '' : `, ${limitWords(item) ?? ''}`}`, stated(item.says), rule.source,
        ]),
      },
      {
        type: 'table', title: 'For the crew: look, measure, tick',
        columns: [{ name: 'Line' }, { name: 'Rule' }, { name: 'What the program can add' }, { name: 'Source of the rule' }, { name: 'Seen' }],
        rows: crew.map(({ item, number, rule }) => [String(number), item.where, stated(item.says), rule.source, EMPTY_BOX]),
      },
      { type: 'blanks', names: ['Event', 'Date', 'Looked at by', 'Signature'] },
    ],
  };
}

/** What an answer says, without the yes or no to its own question: here it stands beside a rule. */
function stated(says: string): string {
  return capital(says.replace(/^(?:Yes|No)[.:,] /, ''));
}
