import { describe, expect, it } from 'vitest';
import type { Paper } from '../../../src/sheets/document/document.ts';
import { openedFonts } from '../../../src/sheets/document/pdf-engine.ts';
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

  // Widths read by the library from the font's own table, against those that it shapes: no more apart than pairs of letters
  // that a kerned line sets closer.
  it('sets plain letters as wide as the font says, and shapes other scripts', () => {
    const { Document, regular } = openedFonts(PDF_TOOLS);
    const width = (font: typeof regular, text: string): number => new Document({ autoFirstPage: false, font: '' }).registerFont('f', font).font('f').fontSize(10).widthOfString(text);
    for (const text of ['W1 G1+ to X1: 8.37 mm²', 'AVATAR Ω µ °', '34.5 V missing when it closes', '\u0627\u0644\u0633', 'cafe\u0301']) {
      const [plain, shaped] = [width(regular, text), width(PDF_TOOLS.regular, text)];
      expect(plain / shaped, text).toBeGreaterThanOrEqual(0.99);
      expect(plain / shaped, text).toBeLessThan(1.06);
    }
    expect(width(regular, '\u0627\u0644\u0633')).toBe(width(PDF_TOOLS.regular, '\u0627\u0644\u0633'));
  });

  it.each([['A4', 595.28, 841.89], ['Letter', 612, 792]] as const)('stands on pages of the size %s', async (format, short, long) => {
    // Sources: ISO 216:2007 (A4, 210 mm by 297 mm); ANSI/ASME Y14.1 (A, 8.5 in by 11 in); a point is 1/72 in (ISO 32000-1, 8.3.2.3).
    const boxes = async (paper: Paper): Promise<string[]> => [...readPdf(await paperPdf(paper, PDF_TOOLS, format)).body.matchAll(/\/MediaBox \[([^\]]*)\]/g)].map(([, box = '']) => box);
    expect(new Set(await boxes(report))).toEqual(new Set([`0 0 ${short} ${long}`]));
    expect(new Set(await boxes({ ...report, layout: 'wide' }))).toEqual(new Set([`0 0 ${long} ${short}`]));
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
    const asked = await askedSource(hostileText());
    const hostile = { ...asked, answers: [...asked.answers.filter(({ id }) => id !== SPARK.id), { ...SPARK, says: HOSTILE.join(' '), question: HOSTILE[9] }] };
    const made: string[] = [];
    for (const id of PAPER_IDS) {
      const paper = PAPERS[id].make(hostile);
      if (paper === undefined) continue;
      made.push(id);
      const { body } = readPdf(await paperPdf(paper, PDF_TOOLS));
      expect(body, id).not.toMatch(/\/(JavaScript|JS|OpenAction|AA|Launch|URI|EmbeddedFile)\b/);
      expect(body.match(/%PDF/g)?.length, id).toBeLessThanOrEqual(3);
    }
    expect(made).toEqual(PAPER_IDS.filter((id) => id !== 'drawing'));
  }, 30_000);

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
