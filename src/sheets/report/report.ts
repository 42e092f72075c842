import type { Answer } from '../../questions/answer.ts';
import { answerSection, answerRow } from './answer-section.ts';
import { escapeText } from './escape.ts';
import { markSvg } from './mark.ts';
import { STYLE } from './style.ts';
import { byConcern, countOf, headline, VERDICTS } from './words.ts';

/** The answers about one machine, and what it takes to get the same ones again. */
export interface Report {
  /** Name of the machine. */
  readonly machine: string;
  /** Of the machine file's text. */
  readonly fingerprint: string;
  /** Of the program. */
  readonly version: string;
  readonly seed: number;
  readonly samples: number;
  readonly answers: readonly Answer[];
}

/**
 * The answers as one HTML page that needs nothing else: no network, no script, no font.
 * Every text that comes from the machine file is escaped; a content policy in the page forbids what slips through to load or run.
 * @param source  name of the machine file, for the reader
 */
export function reportHtml(report: Report, source: { readonly fileName?: string }): string {
  const answers = byConcern(report.answers);
  const machine = escapeText(report.machine);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="generator" content="Ampwright ${escapeText(report.version)}">
<title>${machine}: answers by Ampwright</title>
<style>${STYLE}</style>
</head>
<body>
<header>
<h1>${machine}</h1>
<p class="file">${source.fileName === undefined ? '' : `${escapeText(source.fileName)}, `}file id ${escapeText(report.fingerprint)}</p>
<p class="headline">${escapeText(headline(answers))}</p>
<ul class="counts">
${countsOf(answers)}
</ul>
</header>
<main>
<nav aria-label="Questions">
<ul>
${answers.map((answer) => `<li>${answerRow(answer)}</li>`).join('\n')}
</ul>
</nav>
${answers.map((answer) => answerSection(answer, report.samples)).join('\n')}
</main>
<footer>
<p>Computed by Ampwright ${escapeText(report.version)} from the machine file alone, with ${report.samples} samples of its spreads (seed ${report.seed}). It is a computation, not an approval: lock what can move, and let the lamp and the meter decide.</p>
</footer>
</body>
</html>
`;
}

function countsOf(answers: readonly Answer[]): string {
  return VERDICTS.flatMap((verdict) => {
    const count = countOf(answers, verdict);
    return count === 0 ? [] : [`<li>${markSvg(verdict)} ${count} ${verdict}</li>`];
  }).join('\n');
}
