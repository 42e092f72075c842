import type { Advice, Answer, Evidence, Item } from '../../questions/answer.ts';
import { chart } from './chart.ts';
import { escapeText } from './escape.ts';
import { markAndWord, markSvg } from './mark.ts';
import { capital, decidingWords, editWords, joinUnits, limitWords, quoted, shareCell, shareSentence, spreadWords, valueWords } from './words.ts';

/** The line of an answer in the list at the top: mark, question, deciding figure against its limit. */
export function answerRow(answer: Answer): string {
  const { where, figure, rest } = decidingWords(answer);
  const place = where === undefined ? '' : `${escapeText(where)}: `;
  return `<a href="#${anchorOf(answer)}">${markSvg(answer.verdict)}<span><span class="asked">${escapeText(answer.question)}</span>`
    + `<span class="decides">${place}<b>${sentence(figure)}</b>${sentence(rest)}</span></span></a>`;
}

/** An answer with all that it says, shows and advises. */
export function answerSection(answer: Answer, samples: number): string {
  return [
    `<section id="${anchorOf(answer)}">`,
    `<h2>${markSvg(answer.verdict)}<span>${escapeText(answer.question)}</span></h2>`,
    `<p class="says">${sentence(answer.says)}</p>`,
    answer.refused === undefined ? '' : `<p class="refused"><b>Refused:</b> ${sentence(answer.refused)}</p>`,
    passesOf(answer, samples),
    list('What is missing', answer.needs),
    itemsOf(answer.items),
    ...answer.evidence.map(evidenceOf),
    adviceOf(answer.advice),
    list('Caution', answer.cautions, 'caution'),
    list('Not a problem on this machine', answer.notAProblem),
    list('What this rests on', answer.basis.map(quoted), 'basis'),
    '</section>',
  ].filter((part) => part !== '').join('\n');
}

function anchorOf({ id }: Answer): string {
  return `q-${escapeText(id.replace(/\s+/g, '-'))}`;
}

function passesOf(answer: Answer, samples: number): string {
  const share = shareSentence(answer, samples);
  return share === '' ? '' : `<p class="share">${markAndWord(answer.verdict)}. ${share}</p>`;
}

function list(title: string, lines: readonly string[], classes = 'plain'): string {
  if (lines.length === 0) return '';
  return `<h3>${title}</h3>\n<ul class="${classes}">\n${lines.map((line) => `<li>${sentence(line)}</li>`).join('\n')}\n</ul>`;
}

function itemsOf(items: readonly Item[]): string {
  if (items.length === 0) return '';
  const head = ['Where', 'Figure', 'Limit', 'Spread', 'Passes'].map((name) => `<th scope="col">${name}</th>`).join('');
  return `<h3>Each one</h3>\n<div class="scroll" role="region" tabindex="0" aria-label="Each one"><table class="items">\n<thead><tr><th scope="col">Verdict</th>${head}</tr></thead>\n${items.map(itemOf).join('\n')}\n</table></div>`;
}

/** A body of its own for each item, so that its sentence stays with its figures on paper and on a phone. */
function itemOf(item: Item): string {
  const { figure } = item;
  const slip = item.slip ? ' <span class="slip">(only by a slip of the crew)</span>' : '';
  const value = figure === undefined ? '' : `<b class="number">${escapeText(valueWords(figure.value, figure.dimension))}</b> ${escapeText(item.measure)}`;
  const cells = [
    ['Limit', limitWords(item) ?? ''],
    ['Spread', figure === undefined ? '' : spreadWords(figure)],
    ['Passes', shareCell(item)],
  ].map(([name, text]) => `<td class="number" data-head="${name}">${escapeText(text ?? '')}</td>`);
  return `<tbody>\n<tr class="lead"><td>${markAndWord(item.verdict)}</td><th scope="row">${escapeText(item.where)}${slip}</th><td>${value}</td>${cells.join('')}</tr>\n`
    + `<tr><td></td><td class="says-item" colspan="5">${sentence(item.says)}</td></tr>\n</tbody>`;
}

function evidenceOf(evidence: Evidence): string {
  const caption = `<figcaption>${escapeText(evidence.title)}</figcaption>`;
  if (evidence.type === 'plot') return `<figure>${caption}\n${chart(evidence)}\n</figure>`;
  const head = evidence.head.map((name) => `<th scope="col">${escapeText(capital(name))}</th>`).join('');
  const rows = evidence.rows.map((row) => `<tr>${row.map(cell).join('')}</tr>`).join('\n');
  return `<figure>${caption}\n<div class="scroll" role="region" tabindex="0" aria-label="${escapeText(evidence.title)}"><table>\n<thead><tr>${head}</tr></thead>\n<tbody>\n${rows}\n</tbody>\n</table></div></figure>`;
}

function cell(text: string): string {
  return /^[\u2212-]?\d/.test(text) ? `<td class="number">${escapeText(text)}</td>` : `<td class="text">${escapeText(text)}</td>`;
}

function adviceOf(advice: readonly Advice[]): string {
  if (advice.length === 0) return '';
  return `<h3>What to change</h3>\n<ol class="advice">\n${advice.map(changeOf).join('\n')}\n</ol>`;
}

function changeOf({ what, free, edits, verdict, says, caution }: Advice): string {
  return [
    `<li><span class="what">${sentence(what)}</span>${free ? ' <span class="tag-free">(costs nothing)</span>' : ''}`,
    `<br>Asked again with the change: ${markAndWord(verdict)}. ${sentence(says)}`,
    ...edits.map((edit) => `<code class="edit">${escapeText(editWords(edit))}</code>`),
    caution === undefined ? '' : `<p class="caution">Caution: ${sentence(caution)}</p>`,
    '</li>',
  ].join('');
}

function sentence(text: string): string {
  return escapeText(joinUnits(text));
}
