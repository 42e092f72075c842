import { describe, expect, it } from 'vitest';
import type { Paper } from '../../../src/sheets/document/document.ts';
import { paperPdf } from '../../../src/sheets/document/pdf.ts';
import { PAPER_IDS, PAPERS } from '../../../src/sheets/papers.ts';
import { SPARK, STALL } from '../../cli/fixture.ts';
import { askedSource, DEMOS, demoText, HOSTILE, hostileText, PDF_TOOLS, sourceOf } from '../source.ts';
import { readPdf } from './read-pdf.ts';

const source = sourceOf(demoText('crush10s'), [SPARK, STALL]);
const report = PAPERS['design-report'].make(source) as Paper;

describe('a paper as PDF', () => {
  it('is the same, byte for byte, each time', async () => {
    const [one, other] = [await paperPdf(report, PDF_TOOLS), await paperPdf(report, PDF_TOOLS)];
    expect(Buffer.from(one).equals(Buffer.from(other))).toBe(true);
    expect(one.length).toBeGreaterThan(10_000);
  });

  it('holds no date but the one that was given', async () => {
    const { strings } = readPdf(await paperPdf(report, PDF_TOOLS));
    expect(strings.filter((text) => text.startsWith('D:'))).toEqual(['D:20261125000000Z']);
  });

  // Source: ISO 32000-1:2008, 14.8.1 (marked content), 14.8.4.3.2 and 14.8.5.7 (table heads and their scope), 14.9.3
  // (alternate descriptions), 12.3.3 (outline), 12.2 (title in the window).
  it('is tagged: language, title, headings, table heads, pictures in words, an outline', async () => {
    const { body, strings } = readPdf(await paperPdf(report, PDF_TOOLS));
    expect(body).toMatch(/\/MarkInfo/);
    expect(body).toMatch(/\/Marked true/);
    expect(body).toMatch(/\/StructTreeRoot/);
    expect(body).toMatch(/\/Lang \(en\)/);
    expect(body).toMatch(/\/DisplayDocTitle true/);
    expect(body).toMatch(/\/Outlines/);
    for (const role of ['H1', 'H2', 'P', 'L', 'LI', 'Table', 'Caption', 'TR', 'TH', 'TD', 'Figure']) expect(body, role).toMatch(new RegExp(`/S /${role}\\b`));
    expect(body).toMatch(/\/Scope \/Column/);
    expect(body).toMatch(/\/Scope \/Row/);
    expect(strings).toContain('CRUSH10S: Design report');
    expect(strings.some((text) => text.includes('Chart of current over time') && text.includes('peak 1.01 kA'))).toBe(true);
  });

  // Source: ISO 32000-1:2008, 9.9 (FontFile2: embedded TrueType) and 9.10.3 (ToUnicode: what is copied and searched).
  it('embeds its fonts and lets their characters be copied', async () => {
    const { body, characters } = readPdf(await paperPdf({ ...report, lead: 'Ω µ ² ° – ≤ é' }, PDF_TOOLS));
    expect(body.match(/\/FontFile2/g)).toHaveLength(2);
    expect(body).not.toMatch(/\/BaseFont \/(Helvetica|Times|Courier)/);
    for (const char of 'Ωµ²°–≤é') expect(characters.has(char.codePointAt(0) ?? 0), char).toBe(true);
  });

  it('keeps a table’s rows whole and its head on every page', async () => {
    const rows = Array.from({ length: 120 }, (_, k) => [`W${k}`, 'from', 'to']);
    const long: Paper = { ...report, blocks: [{ type: 'table', title: 'Long', columns: [{ name: 'Wire' }, { name: 'From' }, { name: 'To' }], rows }] };
    const { pages, body } = readPdf(await paperPdf(long, PDF_TOOLS));
    expect(pages).toBeGreaterThan(2);
    // One head is read aloud; on later pages it stands as decoration.
    expect(body.match(/\/Scope \/Column/g)).toHaveLength(3);
    expect(body.match(/\/S \/TR/g)).toHaveLength(121);
  });

  it('takes hostile names as text: nothing to run, no object that names could make', async () => {
    const hostile = sourceOf(hostileText(), [{ ...SPARK, says: HOSTILE.join(' '), question: HOSTILE[9] }]);
    for (const id of PAPER_IDS) {
      const paper = PAPERS[id].make(hostile);
      if (paper === undefined) continue;
      const { body } = readPdf(await paperPdf(paper, PDF_TOOLS));
      expect(body, id).not.toMatch(/\/(JavaScript|JS|OpenAction|AA|Launch|URI|EmbeddedFile)\b/);
      expect(body.match(/%PDF/g)?.length, id).toBeLessThanOrEqual(3);
    }
  });

  it('puts each card on one page, for every demo machine', async () => {
    for (const demo of DEMOS) {
      const asked = await askedSource(demoText(demo));
      for (const id of ['power-card', 'pit-card', 'bench-card', 'emergency-card'] as const) {
        const paper = PAPERS[id].make(asked) as Paper;
        expect(readPdf(await paperPdf(paper, PDF_TOOLS)).pages, `${demo} ${id}`).toBe(1);
      }
    }
  }, 60_000);
});
