import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { withoutPersonal } from '../../src/machine/file/impersonal.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import { fromBase64, toBase64, utf8Bytes, utf8Text } from '../../src/sheets/share/base64.ts';
import { machineInside, sharePage } from '../../src/sheets/share/share-page.ts';
import { HOLD, SPARK, STALL } from '../cli/fixture.ts';
import { DEMOS, demoText, HOSTILE, hostileText, sourceOf } from './source.ts';

describe('the page to share', () => {
  it.each(DEMOS)('gives back the machine file of %s, byte for byte', (demo) => {
    const text = demoText(demo);
    expect(machineInside(sharePage(sourceOf(text, [SPARK, STALL])))).toBe(text);
  });

  it('gives back files with other line ends, and the one with hostile names', () => {
    for (const text of [demoText('bar3s').replace(/\n/g, '\r\n'), hostileText(), `# \u{1F916} Ω\n${demoText('bar3s')}`]) expect(machineInside(sharePage(sourceOf(text)))).toBe(text);
  });

  it('needs no script and loads nothing', () => {
    const page = sharePage(sourceOf(demoText('crush10s'), [SPARK, STALL]));
    expect(page).toContain(`content="default-src 'none'`);
    expect(page).not.toMatch(/<script|<link|<img|<iframe|@import|\son[a-z]+=|\bsrc=/i);
    for (const [, target = ''] of page.matchAll(/href="([^"]*)"/g)) expect(page).toContain(`id="${target.slice(1)}"`);
  });

  it('shows lists, cards, answers and curves', () => {
    const page = sharePage(sourceOf(demoText('crush10s'), [SPARK, STALL, HOLD]));
    for (const title of ['Wire list', 'Parts list', 'Power-up and power-down card', 'Inspection sheet', 'Will closing a switch spark?', 'How long must the soft start be held?']) expect(page).toContain(title);
    expect(page.match(/<svg class="chart wide"/g)?.length).toBe(3);
  });

  it('keeps hostile names as text', () => {
    const page = sharePage(sourceOf(hostileText(), [{ ...SPARK, says: HOSTILE.join(' ') }]));
    expect(page).not.toMatch(/<script|<img|<!--/i);
    expect(page.match(/<\/template>/g)).toHaveLength(1);
    expect(page).not.toContain('\u202E');
  });

  it('has one title, headings that skip no level, heads on every table', () => {
    const page = sharePage(sourceOf(demoText('crush10s'), [SPARK, STALL]));
    const levels = [...page.matchAll(/<h(\d)/g)].map(([, level]) => Number(level));
    expect(levels[0]).toBe(1);
    expect(levels.filter((level) => level === 1)).toHaveLength(1);
    levels.forEach((level, k) => expect(level - (levels[k - 1] ?? 0)).toBeLessThanOrEqual(1));
    for (const [table] of page.matchAll(/<table[\s\S]*?<\/table>/g)) expect(table).toMatch(/<th scope="col"/);
    for (const [svg] of page.matchAll(/<svg[^>]*>/g)) expect(svg).toMatch(/aria-label|aria-labelledby|aria-hidden/);
  });

  it('refuses pages that hold no machine that can be read', () => {
    const block = (inside: string): string => `<template id="ampwright-machine-file">${inside}</template>`;
    for (const html of ['', '<p>nothing</p>', block('###'), block('gA=='), '<template id="ampwright-machine-file">YQ==']) expect(machineInside(html)).toBeUndefined();
    expect(machineInside(block('YQ=='))).toBe('a');
  });

  it('puts two versions on one page and says what has changed', () => {
    const before = sourceOf(demoText('crush10s'), [STALL], { revision: 'A' });
    const after = sourceOf(demoText('crush10s').replace('resistance: 100 Ω, power: 10 W', 'resistance: 10 Ω, power: 10 W').replace('8 AWG 0.50 m', '8 AWG 0.45 m'), [{ ...STALL, verdict: 'good' }]);
    const page = sharePage(after, before).replace(/[\u00A0]/g, ' ').replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
    expect(page).toContain('What has changed');
    expect(page).toContain('R1, resistance 100 Ω 10 Ω');
    expect(page).toContain('8 AWG, 0.50 m 8 AWG, 0.45 m');
    expect(page).toMatch(/Does the soft start ever finish\? bad [^?]* good/);
    expect(page).toContain('Procedure: no difference.');
  });
});

describe('a file without what is personal', () => {
  it.each(DEMOS)('is the same machine as %s but for notes, and has no comment', (demo) => {
    const [whole, bare] = [readMachine(demoText(demo)), readMachine(withoutPersonal(demoText(demo)))];
    if (!whole.ok || !bare.ok) throw new Error(`${demo}: not read`);
    const lineless = (value: unknown): string => JSON.stringify(value, (key, one: unknown) => (key === 'line' ? undefined : one instanceof Map ? [...one.entries()] : one));
    expect(lineless({ ...bare.machine, notes: 0 })).toBe(lineless({ ...whole.machine, notes: 0 }));
    expect(bare.machine.notes.size).toBe(0);
    expect(withoutPersonal(demoText(demo))).not.toMatch(/^\s*#| # /m);
  });

  it('keeps what only looks like a comment', () => {
    const text = hostileText().replace('who: ', `team: "J. Doe"\n  who: `).replace('about: "@SUM(A1)"', 'about: "no # comment"').replace('to T1', 'to T1 # J. Doe wired this');
    const bare = withoutPersonal(text);
    expect(bare).toContain('no # comment');
    expect(bare).not.toContain('J. Doe');
  });
});

describe('base64 and UTF-8', () => {
  // Source: RFC 4648, October 2006, section 10, test vectors.
  it('are those of the standard', () => {
    for (const [text, coded] of [['', ''], ['f', 'Zg=='], ['fo', 'Zm8='], ['foo', 'Zm9v'], ['foob', 'Zm9vYg=='], ['fooba', 'Zm9vYmE='], ['foobar', 'Zm9vYmFy']] as const) {
      expect(toBase64(utf8Bytes(text))).toBe(coded);
      expect(utf8Text(fromBase64(coded) ?? new Uint8Array([255]))).toBe(text);
    }
  });

  it('agree with Node on 300 random texts and refuse what Node calls wrong, seed 7', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 300 }), (text) => {
      const well = text;
      expect(Buffer.from(utf8Bytes(well)).equals(Buffer.from(well, 'utf8'))).toBe(true);
      expect(toBase64(utf8Bytes(well)).replace(/\n/g, '')).toBe(Buffer.from(well, 'utf8').toString('base64'));
      expect(utf8Text(utf8Bytes(well))).toBe(well);
    }), { seed: 7, numRuns: 300 });
    fc.assert(fc.property(fc.uint8Array({ maxLength: 12 }), (bytes) => {
      const strict = (() => {
        try {
          return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
        } catch {
          return undefined;
        }
      })();
      expect(utf8Text(bytes)).toBe(strict);
    }), { seed: 7, numRuns: 300 });
  });
});
