import { describe, expect, it } from 'vitest';
import { tableCsv } from '../../src/sheets/document/csv.ts';
import { paperHtml } from '../../src/sheets/document/html.ts';
import { paperPdf } from '../../src/sheets/document/pdf.ts';
import { drawSheets, layDrawing } from '../../src/sheets/drawing/drawing.ts';
import { svgOf } from '../../src/sheets/drawing/svg.ts';
import { PAPER_IDS, PAPERS } from '../../src/sheets/papers.ts';
import { sharePage } from '../../src/sheets/share/share-page.ts';
import { readPdf } from './document/read-pdf.ts';
import { askedSource, demoText, PDF_TOOLS } from './source.ts';

describe('name, revision, date and fingerprint', () => {
  it('stand on every paper in every format, as the user gave them', async () => {
    const asked = await askedSource(demoText('crush10s'));
    const { machine, stamp } = asked;
    const sheets = drawSheets(await layDrawing(machine), { fingerprint: stamp.fingerprint, revision: 'B', date: '2026-11-25' });
    const source = { ...asked, sheets };
    const marks = ['CRUSH10S', '2026-11-25', stamp.fingerprint];
    for (const id of PAPER_IDS) {
      const paper = PAPERS[id].make(source);
      if (paper === undefined) throw new Error(`no ${id}`);
      const { strings } = readPdf(await paperPdf(paper, PDF_TOOLS));
      const table = PAPERS[id].table?.(source);
      const said = [paperHtml(paper), ...(table === undefined ? [] : [tableCsv(table, stamp)])];
      for (const mark of marks) {
        for (const text of said) expect(text, `${id} ${mark}`).toContain(mark);
        expect(strings.join('\n'), `${id}.pdf ${mark}`).toContain(mark);
      }
      expect(said[0]).toMatch(id === 'drawing' ? /Revision/ : /revision B/);
      expect(strings.join('\n'), `${id}.pdf`).toContain('revision B');
      if (table !== undefined) expect(said[1]?.split('\r\n')[0]).toMatch(/Machine,Revision,Date,File id$/);
    }
    for (const sheet of sheets) for (const mark of [...marks, '>B<']) expect(svgOf(sheet)).toContain(mark);
    for (const mark of [...marks, 'revision B']) expect(sharePage(source)).toContain(mark);
  }, 60_000);
});
