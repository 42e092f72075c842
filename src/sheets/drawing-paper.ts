import type { Paper } from './document/document.ts';
import type { PaperSource } from './source.ts';

/** The drawing's pages as one paper; none where no drawing was handed in. */
export function drawingPaper({ sheets, stamp }: PaperSource): Paper | undefined {
  if (sheets.length === 0) return undefined;
  return { title: 'Drawing', stamp, layout: 'drawing', lead: '', blocks: sheets.map((sheet) => ({ type: 'figure', sheet })) };
}
