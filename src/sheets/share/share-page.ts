import { answerSection } from '../report/answer-section.ts';
import { escapeText } from '../report/escape.ts';
import { byConcern } from '../report/words.ts';
import { stampWords, type Paper } from '../document/document.ts';
import { paperBody } from '../document/html.ts';
import { paperStyle } from '../document/style.ts';
import type { PageFormat } from '../drawing/frame.ts';
import { PAPERS, type PaperId } from '../papers.ts';
import type { PaperSource } from '../source.ts';
import { fromBase64, toBase64, utf8Bytes, utf8Text } from './base64.ts';
import { comparison } from './compare.ts';

/** Papers on the page, in their order; the answers follow with their curves. */
const ON_THE_PAGE: readonly PaperId[] = ['drawing', 'wire-list', 'parts-list', 'power-card', 'pit-card', 'emergency-card', 'isolation', 'faults', 'inspection'];

const BLOCK = 'ampwright-machine-file';

/** Larger than this no page is that was made here. */
const LARGEST = 40_000_000;

/**
 * A machine as one HTML page: drawing, lists, cards, answers with their curves, and the machine file itself, byte for
 * byte. Nothing is loaded, and no script is needed to read it.
 * @param before  an older version of the machine, to be compared with
 */
export function sharePage(source: PaperSource, before?: PaperSource, format: PageFormat = 'A4'): string {
  const { stamp, answers, samples } = source;
  const papers = ON_THE_PAGE.flatMap((id): Paper[] => {
    const paper = PAPERS[id].make(source);
    return paper === undefined ? [] : [paper];
  });
  const compared = before === undefined ? [] : [comparison(before, source)];
  const sorted = byConcern(answers);
  const links = [...compared, ...papers].map(({ title }, k) => `<li><a href="#p${k + 1}">${escapeText(title)}</a></li>`);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="generator" content="Ampwright ${escapeText(stamp.version)}">
<title>${escapeText(`${stamp.machine}: the whole machine on one page`)}</title>
<style>${paperStyle(format)}</style>
</head>
<body class="wide">
<header>
<h1>${escapeText(stamp.machine)}</h1>
<p class="file">${escapeText(stampWords(stamp))}. The machine file is inside this page: Ampwright opens the page and goes on from it.</p>
</header>
<nav aria-label="Papers"><ul>
${links.join('\n')}
<li><a href="#answers">Answers</a></li>
</ul></nav>
<main>
${[...compared, ...papers].map((paper, k) => `<div id="p${k + 1}">${paperBody(paper, 2)}</div>`).join('\n')}
<div id="answers">
${sorted.map((answer) => answerSection(answer, samples)).join('\n')}
</div>
</main>
<footer><p>Computed by Ampwright ${escapeText(stamp.version)} from the machine file alone, with ${samples} samples of its spreads (seed ${source.seed}). A computation, not an approval.</p></footer>
<template id="${BLOCK}">
${toBase64(utf8Bytes(source.text))}
</template>
</body>
</html>
`;
}

/**
 * The machine file inside a share page, byte for byte; undefined where the page holds none that can be read.
 * Only the block made here is looked at: what else stands in the page is never run or believed.
 */
export function machineInside(html: string): string | undefined {
  if (html.length > LARGEST) return undefined;
  // The last one, because names and notes stand before it and cannot hold a bracket.
  const start = html.lastIndexOf(`<template id="${BLOCK}">`);
  if (start < 0) return undefined;
  const from = start + `<template id="${BLOCK}">`.length;
  const end = html.indexOf('</template>', from);
  if (end < 0) return undefined;
  const bytes = fromBase64(html.slice(from, end));
  return bytes === undefined ? undefined : utf8Text(bytes);
}
