import type { PageFormat } from '../drawing/frame.ts';
import { svgOf } from '../drawing/svg.ts';
import { chart } from '../report/chart.ts';
import { escapeText } from '../report/escape.ts';
import { markAndWord } from '../report/mark.ts';
import { joinUnits } from '../report/words.ts';
import { EMPTY_BOX, filled, stampWords, type Block, type Labels, type Paper, type StepList, type Table } from './document.ts';
import { paperStyle } from './style.ts';

/**
 * A paper as one HTML page that needs nothing else, for the screen and for the printer.
 * Every text is escaped; a content policy in the page forbids what slips through to load or run.
 */
export function paperHtml(paper: Paper, format: PageFormat = 'A4'): string {
  const { title, stamp } = paper;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="Ampwright ${escapeText(stamp.version)}">
<title>${escapeText(`${stamp.machine}: ${title}`)}</title>
<style>${paperStyle(format)}</style>
</head>
<body class="${paper.layout}">
${paperBody(paper, 1)}
</body>
</html>
`;
}

/** A paper inside a page that holds several; its title is a heading of the level given. */
export function paperBody(paper: Paper, level: 1 | 2): string {
  const { title, stamp, lead, blocks } = paper;
  const [outer, inner] = level === 1 ? ['main', 'header'] : ['section', 'div'];
  return `<${outer} class="paper ${paper.layout}">
<${inner} class="head"><h${level}>${escapeText(`${stamp.machine}: ${title}`)}</h${level}><p class="stamp">${escapeText(stampWords(stamp))}</p></${inner}>
${lead === '' ? '' : `<p class="lead">${sentence(lead)}</p>`}
${blocks.map((block, k) => blockHtml(block, level, `${title}-${k}`)).join('\n')}
<p class="foot">Worked out by Ampwright ${escapeText(stamp.version)} from the machine file. A computation for the crew, not an approval.</p>
</${outer}>`;
}

function blockHtml(block: Block, level: number, id: string): string {
  const heading = (text: string): string => (text === '' ? '' : `<h${level + 1}>${sentence(text)}</h${level + 1}>\n`);
  switch (block.type) {
    case 'heading':
      return heading(block.text);
    case 'paragraph':
      return `<p>${block.strong === true ? `<b>${sentence(block.text)}</b>` : sentence(block.text)}</p>`;
    case 'list':
      return `${heading(block.title)}<ul>\n${block.lines.map((line) => `<li>${sentence(line)}</li>`).join('\n')}\n</ul>`;
    case 'facts':
      return `${heading(block.title)}<dl>\n${block.facts.map(({ name, value }) => `<div><dt>${sentence(name)}</dt><dd>${sentence(value)}</dd></div>`).join('\n')}\n</dl>`;
    case 'table':
      return tableHtml(block);
    case 'steps':
      return stepsHtml(block, id);
    case 'boxes':
      return `${heading(block.title)}<ul class="boxes">\n${block.lines.map((line) => `<li>${box()} ${sentence(line)}</li>`).join('\n')}\n</ul>`;
    case 'caution':
      return `<p class="caution" role="note"><b>Caution:</b> ${sentence(block.text)}</p>`;
    case 'verdict':
      return `${heading(block.question)}<p>${markAndWord(block.verdict)}. ${sentence(block.says)}</p>`;
    case 'labels':
      return labelsHtml(block, heading(block.title));
    case 'figure':
      return `<figure><figcaption>${sentence(block.sheet.title)}</figcaption>\n${svgOf(block.sheet, { id, fluid: true })}\n</figure>`;
    case 'chart':
      return `<figure><figcaption>${sentence(block.plot.title)}</figcaption>\n${chart(block.plot)}\n</figure>`;
    case 'blanks':
      return `<ul class="blanks">\n${block.names.map((name) => `<li>${sentence(name)}</li>`).join('\n')}\n</ul>`;
  }
}

function tableHtml(table: Table): string {
  const { title, columns, rows } = filled(table);
  const head = columns.map(({ name, figures }) => `<th scope="col"${figures === true ? ' class="figures"' : ''}>${sentence(name)}</th>`).join('');
  const body = rows.map((row) => `<tr>${row.map((text, at) => cell(text, at === 0, columns[at]?.figures === true)).join('')}</tr>`).join('\n');
  return `<div class="scroll" role="region" tabindex="0" aria-label="${escapeText(title)}"><table><caption>${sentence(title)}</caption>\n<thead><tr>${head}</tr></thead>\n<tbody>\n${body}\n</tbody></table></div>`;
}

/** Letters from which a cell gets room for a sentence. */
const SENTENCE = 40;

function cell(text: string, first: boolean, figures: boolean): string {
  if (text === EMPTY_BOX) return `<td>${box()}</td>`;
  return first ? `<th scope="row">${sentence(text)}</th>` : `<td${figures ? ' class="figures"' : text.length > SENTENCE ? ' class="text"' : ''}>${sentence(text)}</td>`;
}

function stepsHtml({ title, expects, otherwise, first, steps, pictured }: StepList, id: string): string {
  const name = (text: string): string => `<th scope="col">${sentence(text)}</th>`;
  const head = [name('Step'), name('Who'), name('Do'), ...(pictured === undefined ? [] : [`<th scope="col" class="pictured">${svgOf(pictured, { id: `${id}-head` })}</th>`]), name(expects), name(otherwise), name('Done')].join('');
  const rows = steps.map((step, at) => {
    const picture = pictured === undefined ? '' : `<td class="pictured"${step.picture === undefined ? '' : ` data-stands="${escapeText(step.picture.description)}"`}>${step.picture === undefined ? '' : svgOf(step.picture, { id: `${id}-${first + at}` })}</td>`;
    return `<tr><td class="count">${first + at}</td><td>${sentence(step.who)}</td><th scope="row"><span class="does">${sentence(step.does)}</span>`
      + `${step.detail === '' ? '' : `<br><span class="detail">${sentence(step.detail)}</span>`}</th>${picture}<td data-head="${escapeText(expects)}">${sentence(step.expect)}</td><td data-head="${escapeText(otherwise)}">${sentence(step.otherwise)}</td><td>${box()}</td></tr>`;
  });
  return `<div class="scroll" role="region" tabindex="0" aria-label="${escapeText(title)}"><table class="steps${pictured === undefined ? '' : ' with-pictures'}"><caption>${sentence(title)}</caption>\n<thead><tr>${head}</tr></thead>\n<tbody>\n${rows.join('\n')}\n</tbody></table></div>`;
}

function labelsHtml({ labels }: Labels, heading: string): string {
  return `${heading}<ul class="labels">\n${labels.map(({ head, text }) => `<li><b>${sentence(head)}</b> <span>${sentence(text)}</span></li>`).join('\n')}\n</ul>`;
}

function box(): string {
  return '<span class="box" role="img" aria-label="box to tick"></span>';
}

function sentence(text: string): string {
  return escapeText(joinUnits(text));
}
