import { describe, expect, it } from 'vitest';
import { chartSheet } from '../../../src/sheets/document/chart-shapes.ts';
import type { Paper } from '../../../src/sheets/document/document.ts';
import { paperHtml } from '../../../src/sheets/document/html.ts';
import { drawSheets, layDrawing } from '../../../src/sheets/drawing/drawing.ts';
import { svgOf } from '../../../src/sheets/drawing/svg.ts';
import { PAPER_IDS, PAPERS } from '../../../src/sheets/papers.ts';
import { SPARK, STALL } from '../../cli/fixture.ts';
import { askedSource, demoText, HOSTILE, hostileText, sourceOf } from '../source.ts';

/** Elements that HTML never closes. Source: HTML Living Standard, 13.1.2, void elements. */
const VOID = new Set(['meta', 'br', 'link', 'img', 'hr', 'input']);

/** Names of the elements of a page, read strictly: every attribute quoted, every element closed in order. Throws on anything else. */
function elementsOf(html: string): string[] {
  const found: string[] = [];
  const open: string[] = [];
  const body = html.replace(/^<!doctype html>\n/, '').replace(/<style>[^<]*<\/style>/, '');
  for (const [text, closing, name, , selfClosing, stray] of body.matchAll(/<(\/?)([a-zA-Z][a-zA-Z0-9]*)((?:\s+[a-zA-Z][a-zA-Z0-9-]*="[^"<>]*")*)\s*(\/?)>|[^<>]+|(.)/gsu)) {
    if (stray !== undefined) throw new Error(`stray ${stray}`);
    if (name === undefined) {
      if (/&(?!(?:amp|lt|gt|quot|#39);)/.test(text)) throw new Error(`bare & in ${text}`);
    } else if (closing === '/') {
      const last = open.pop();
      if (last !== name) throw new Error(`</${name}> closes <${String(last)}>`);
    } else {
      found.push(name);
      if (selfClosing !== '/' && !VOID.has(name)) open.push(name);
    }
  }
  if (open.length > 0) throw new Error(`open at the end: ${open.join(' ')}`);
  return found;
}

async function made(text: string, says: string): Promise<{ readonly id: string; readonly paper: Paper }[]> {
  const asked = await askedSource(text);
  const { machine, stamp } = asked;
  const sheets = drawSheets(await layDrawing(machine), { fingerprint: stamp.fingerprint });
  // The machine's own answers, two of them exchanged for ones with every kind of entry.
  const source = { ...asked, sheets, answers: [...asked.answers.filter(({ id }) => id !== SPARK.id && id !== STALL.id), { ...SPARK, says }, STALL] };
  const papers = PAPER_IDS.flatMap((id) => {
    const paper = PAPERS[id].make(source);
    return paper === undefined ? [] : [{ id, paper }];
  });
  expect(papers.map(({ id }) => id)).toEqual(PAPER_IDS);
  return papers;
}

describe('a paper as HTML', () => {
  it('is well formed and made of the same elements, whatever names a machine has', async () => {
    for (const { id, paper } of await made(hostileText(), HOSTILE.join(' '))) {
      const elements = elementsOf(paperHtml(paper));
      expect(elements.length, id).toBeGreaterThan(10);
      for (const element of ['script', 'img', 'iframe', 'b2', 'object', 'link']) expect(elements, id).not.toContain(element);
      expect(paperHtml(paper)).not.toMatch(/\son[a-z]+="|\u202E/);
    }
  });

  it('has a title, headings that skip no level, and a head on every table', async () => {
    for (const { id, paper } of await made(demoText('crush10s'), 'So.')) {
      const html = paperHtml(paper);
      expect(html, id).toContain(`<title>CRUSH10S: ${paper.title}</title>`);
      const levels = [...html.matchAll(/<h(\d)/g)].map(([, level]) => Number(level));
      expect(levels.filter((level) => level === 1), id).toHaveLength(1);
      levels.forEach((level, k) => expect(level - (levels[k - 1] ?? 0), id).toBeLessThanOrEqual(1));
      for (const [table] of html.matchAll(/<table[\s\S]*?<\/table>/g)) {
        expect(table, id).toContain('<caption>');
        expect(table, id).toContain('<th scope="col"');
        expect(table, id).toContain('<th scope="row"');
      }
    }
  });

  it('says in its foot that it is no approval', async () => {
    for (const { id, paper } of await made(demoText('bar3s'), 'So.')) expect(paperHtml(paper), id).toContain('not an approval');
  });
});

describe('a drawing as SVG', () => {
  it('keeps hostile names as text', async () => {
    const { machine, stamp } = sourceOf(hostileText());
    for (const sheet of drawSheets(await layDrawing(machine), { fingerprint: stamp.fingerprint })) {
      const elements = elementsOf(svgOf(sheet));
      for (const element of elements) expect(['svg', 'title', 'desc', 'rect', 'g', 'line', 'polyline', 'polygon', 'path', 'circle', 'text']).toContain(element);
    }
  });
});

describe('a chart on paper', () => {
  const plot = SPARK.evidence[0];
  if (plot?.type !== 'plot') throw new Error('no plot');
  const sheet = chartSheet(plot);

  it('has every word of the page’s chart inside its edges', () => {
    const texts = sheet.shapes.flatMap((shape) => (shape.shape === 'text' ? [shape] : []));
    expect(texts.map(({ text }) => text)).toEqual(expect.arrayContaining(['current, kA', 'make rating, 450 A', 'peak 1.01 kA']));
    for (const { x, y } of texts) expect(x >= 0 && x <= sheet.width_mm && y >= 0 && y <= sheet.height_mm).toBe(true);
  });

  // The curve's highest point is 1.01 kA, the axis begins at 0 and the mark names the same point: all three must agree.
  it('puts the curve’s peak where its mark is', () => {
    const mark = sheet.shapes.find((shape) => shape.shape === 'circle');
    if (mark?.shape !== 'circle') throw new Error('no mark');
    const points = sheet.shapes.flatMap((shape) => (shape.shape === 'path' ? shape.steps.flatMap((step) => (step[0] === 'L' || step[0] === 'M' ? [[step[1], step[2]] as const] : [])) : []));
    expect(Math.min(...points.map(([x, y]) => Math.hypot(x - mark.cx, y - mark.cy)))).toBeLessThan(0.2);
  });
});
