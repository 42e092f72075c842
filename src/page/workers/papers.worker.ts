import { fingerprint } from '../../machine/file/fingerprint.ts';
import { readMachine } from '../../machine/file/read.ts';
import { shippedRules } from '../../machine/rules/shipped.ts';
import { tableCsv } from '../../sheets/document/csv.ts';
import { paperBody, paperHtml } from '../../sheets/document/html.ts';
import { paperStyle } from '../../sheets/document/style.ts';
import { drawSheets, layDrawing } from '../../sheets/drawing/drawing.ts';
import { PAPER_IDS, PAPERS } from '../../sheets/papers.ts';
import { sharePage } from '../../sheets/share/share-page.ts';
import type { PaperSource } from '../../sheets/source.ts';
import type { MadePaper, MadePapers, PapersRequest } from './messages.ts';
import { scope } from './scope.ts';

/** One at a time: a second request for the same text finds its drawing laid out. */
let queue: Promise<unknown> = Promise.resolve();

scope.onmessage = ({ data }) => {
  const { call, request } = data as { readonly call: number; readonly request: PapersRequest };
  queue = queue
    .then(() => answer(request))
    .then((found) => scope.postMessage({ call, answer: found }))
    .catch((error: unknown) => scope.postMessage({ call, fault: error instanceof Error ? error.message : String(error) }));
};

async function answer(request: PapersRequest): Promise<MadePapers | string | undefined> {
  const source = await sourceOf(request);
  if (source === undefined) return undefined;
  return request.does === 'share' ? sharePage(source, undefined, request.size) : { style: inside(paperStyle(request.size)), papers: papersOf(source, request) };
}

async function sourceOf({ text, answers, samples, seed, revision, date, size }: PapersRequest): Promise<PaperSource | undefined> {
  const file = readMachine(text);
  if (!file.ok) return undefined;
  const { machine } = file;
  const stamp = { machine: machine.name, revision, date, fingerprint: fingerprint(text), version: __VERSION__ };
  const sheets = drawSheets(await layDrawing(machine, size), { fingerprint: stamp.fingerprint, ...(revision === undefined ? {} : { revision }), ...(date === undefined ? {} : { date }) });
  return { machine, text, stamp, seed, samples, answers, rules: shippedRules(), sheets };
}

function papersOf(source: PaperSource, { size }: PapersRequest): MadePaper[] {
  return PAPER_IDS.flatMap((id): MadePaper[] => {
    const { make, table } = PAPERS[id];
    const paper = make(source);
    if (paper === undefined) return [];
    const csv = table?.(source);
    return [{ id, title: paper.title, wide: paper.layout === 'wide', body: paperBody(paper, 2), html: paperHtml(paper, size), csv: csv === undefined ? undefined : tableCsv(csv, source.stamp) }];
  });
}

/** The style of a paper that stands inside another page: what it says of the page is said of the place that it is shown in. */
function inside(style: string): string {
  return style.replaceAll(':root', ':host').replaceAll(/(^|[\s,}])body(?=[\s.,{>])/g, '$1.body');
}
