import { describe, expect, it } from 'vitest';
import type { Answer } from '../../src/questions/answer.ts';
import { reportHtml } from '../../src/sheets/report/report.ts';
import { STYLE } from '../../src/sheets/report/style.ts';
import { HOLD, REFUSED, reportOf, SPARK, STALL, UNTOLD } from '../cli/fixture.ts';

const page = reportHtml(reportOf([SPARK, STALL, HOLD, UNTOLD, REFUSED]), { fileName: 'machines/crush10s.yaml' });

/** Elements that HTML never closes. Source: HTML Living Standard, 13.1.2, void elements. */
const VOID = new Set(['meta', 'br', 'link', 'img', 'hr', 'input']);

interface Tag {
  readonly name: string;
  readonly attributes: ReadonlyMap<string, string>;
}

/** Opening tags of a page, read strictly: every attribute quoted, every element closed in order. Throws on anything else. */
function tagsOf(html: string): Tag[] {
  const tags: Tag[] = [];
  const open: string[] = [];
  const body = html.replace(/^<!doctype html>\n/, '').replace(/<style>[^<]*<\/style>/, '');
  const token = /<(\/?)([a-z][a-z0-9]*)((?:\s+[a-zA-Z-]+="[^"<>]*")*)\s*(\/?)>|[^<>]+|(.)/gsu;
  for (const [text, closing, name, attributes = '', selfClosing, stray] of body.matchAll(token)) {
    if (stray !== undefined) throw new Error(`stray ${stray}`);
    if (name === undefined) {
      if (/&(?!(?:amp|lt|gt|quot|#39);)/.test(text)) throw new Error(`bare & in ${text}`);
    } else if (closing === '/') {
      const last = open.pop();
      if (last !== name) throw new Error(`</${name}> closes <${String(last)}>`);
    } else {
      tags.push({ name, attributes: new Map([...attributes.matchAll(/([a-zA-Z-]+)="([^"]*)"/g)].map(([, key = '', value = '']) => [key, value])) });
      if (selfClosing !== '/' && !VOID.has(name)) open.push(name);
    }
  }
  if (open.length > 0) throw new Error(`open at the end: ${open.join(' ')}`);
  return tags;
}

describe('the report page', () => {
  it('is well formed', () => {
    expect(tagsOf(page).length).toBeGreaterThan(100);
  });

  it('needs nothing from elsewhere, and may load nothing', () => {
    expect(page).not.toMatch(/https?:|url\(|@import|<script|<link|<img|<iframe/i);
    const tags = tagsOf(page);
    expect(tags.find(({ attributes }) => attributes.get('http-equiv') === 'Content-Security-Policy')?.attributes.get('content')).toMatch(/^default-src 'none'/);
    for (const { attributes } of tags) {
      for (const key of attributes.keys()) expect(key).not.toMatch(/^(on|src$|style$)/);
      expect(attributes.get('href') ?? '#').toMatch(/^#/);
    }
  });

  it('says all that the answers hold', () => {
    const words = page.replace(/<style>.*<\/style>/s, '').replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
    for (const text of ['34 V is missing when the drive isolator', '33.7 V', 'at most 4 V', '31.2 to 34.4 V', '71 %', 'only by a slip of the crew', 'parts, R1, resistance: 10 Ω', 'R1 takes 176 W',
      'costs nothing', 'The fuse F1 does not see', 'class default, 1 to 5 ms', 'Lock the arm', 'short-circuit trip of B1', 'the energy balance missed 1e-6', '61 A²s', 'over 99 %', 'not an approval']) {
      expect(words).toContain(text);
    }
  });

  it('has one title, a heading for each answer, and a link to each', () => {
    const tags = tagsOf(page);
    expect(tags.filter(({ name }) => name === 'h1')).toHaveLength(1);
    expect(tags.filter(({ name }) => name === 'h2')).toHaveLength(5);
    const ids = tags.map(({ attributes }) => attributes.get('id')).filter((id): id is string => id !== undefined);
    expect(new Set(ids).size).toBe(ids.length);
    const links = tags.filter(({ name }) => name === 'a').map(({ attributes }) => attributes.get('href'));
    expect(links).toHaveLength(5);
    expect(new Set(links)).toEqual(new Set(ids.map((id) => `#${id}`)));
  });

  it('names every picture for those who cannot see it', () => {
    const pictures = tagsOf(page).filter(({ name }) => name === 'svg');
    expect(pictures.length).toBeGreaterThan(10);
    for (const { attributes } of pictures) {
      if (attributes.get('aria-hidden') === 'true') continue;
      expect(attributes.get('role')).toBe('img');
      expect(attributes.get('aria-label')?.length).toBeGreaterThan(2);
    }
    expect(page).toContain('Line: T3 starts, 9 V.');
  });

  it('puts the worst answer first', () => {
    expect(page.indexOf('q-stall')).toBeLessThan(page.indexOf('q-trip'));
    expect(page.indexOf('q-trip')).toBeLessThan(page.indexOf('q-hold'));
    expect(page).toContain('Not ready: 2 of 5 answers are bad.');
  });

  it('counts in words for one, some and no answers', () => {
    const headlineOf = (answers: readonly Answer[]) => /<p class="headline">(.*)<\/p>/.exec(reportHtml(reportOf(answers), {}))?.[1];
    expect(headlineOf([])).toBe('No question was asked.');
    expect(headlineOf([HOLD])).toBe('The one answer is good.');
    expect(headlineOf([HOLD, HOLD])).toBe('All 2 answers are good.');
    expect(headlineOf([HOLD, SPARK])).toBe('Not ready: 1 of 2 answers is bad.');
    expect(headlineOf([HOLD, UNTOLD])).toBe('Not known yet: 1 of 2 answers cannot be told.');
    expect(headlineOf([HOLD, { ...HOLD, verdict: 'marginal' }])).toBe('Nothing bad; 1 of 2 answers is marginal.');
  });
});

describe('a hostile machine file', () => {
  const attacks = ['</style><script>alert(1)</script>', '"><img src=x onerror=alert(1)>', "' onmouseover='alert(1)", '</title></text></svg><script>', '<!--', ']]>', '&lt;script&gt;&', '\u0000\u001b[2J\ud800', '\u202Etxt.exe', '{{x}}${y}'];

  it.each(attacks)('%j stays text wherever it stands', (evil) => {
    const answer: Answer = {
      ...STALL, id: evil, question: evil, says: evil, needs: [evil], refused: evil, parts: [evil], basis: [evil], cautions: [evil], notAProblem: [evil],
      items: SPARK.items.map((item) => ({ ...item, where: evil, measure: evil, says: evil })),
      advice: [{ what: evil, free: true, edits: [{ path: [evil, 3], text: evil }], verdict: 'good', says: evil, caution: evil }],
      evidence: [
        { type: 'table', title: evil, head: [evil], rows: [[evil]] },
        { type: 'plot', title: evil, x: { name: evil, unit: evil }, y: { name: evil, unit: evil }, curves: [{ name: evil, x: [0, 1], y: [0, 1] }, { name: evil, x: [0], y: [1] }], thresholds: [{ name: evil, at: 0.5, axis: 'y' }], marks: [{ x: 0.5, y: 0.5, name: evil }] },
      ],
    };
    const html = reportHtml({ ...reportOf([answer], evil), fingerprint: evil, version: evil }, { fileName: evil });
    const clean = reportHtml(reportOf([answer].map((one) => ({ ...one, id: 'x' })), 'x'), { fileName: 'x' });
    const names = (text: string) => tagsOf(text).map(({ name, attributes }) => [name, ...attributes.keys()].join(' '));
    expect(names(html)).toEqual(names(clean));
    expect(names(html).join()).not.toMatch(/script|img|onerror|onmouseover/);
    // eslint-disable-next-line no-control-regex -- the characters looked for are control characters
    expect(html).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202e]|\p{Cs}/u);
  });
});

describe('the palette', () => {
  const schemes = [...STYLE.matchAll(/:root \{[^}]*--ground[^}]*\}/g)].map(([rule]) => new Map([...rule.matchAll(/--(\w+): (#[0-9a-f]+)/g)].map(([, name = '', value = '']) => [name, value])));

  // Source: W3C, Web Content Accessibility Guidelines 2.2, relative luminance and contrast ratio; 1.4.3 asks 4.5 of text, 1.4.11 asks 3 of meaningful lines.
  const luminance = (hex: string): number => {
    const full = hex.length === 4 ? hex.replace(/[0-9a-f]/g, '$&$&') : hex;
    const [red = 0, green = 0, blue = 0] = [1, 3, 5].map((at) => parseInt(full.slice(at, at + 2), 16) / 255).map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const contrast = (one: string, other: string): number => {
    const [low = 0, high = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };

  it('is found for light, dark and paper', () => {
    expect(schemes).toHaveLength(3);
  });

  it.each([0, 1, 2])('of scheme %i can be read', (index) => {
    const colour = (name: string): string => schemes[index]?.get(name) ?? '';
    for (const paper of ['ground', 'sheet']) {
      for (const text of ['ink', 'ink2']) expect(contrast(colour(text), colour(paper))).toBeGreaterThanOrEqual(4.5);
      for (const line of ['live', 'warn', 'dead']) expect(contrast(colour(line), colour(paper))).toBeGreaterThanOrEqual(3);
    }
  });
});
