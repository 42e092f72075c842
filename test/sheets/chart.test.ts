import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { axisOver, shortValue } from '../../src/sheets/report/axis.ts';
import { chart, describe as describeChart } from '../../src/sheets/report/chart.ts';
import { decimate, finiteRuns } from '../../src/sheets/report/decimate.ts';
import type { Plot } from '../../src/sheets/report/scale.ts';
import { SPARK, STALL } from '../cli/fixture.ts';

const SEED = 77;
const plots = [...SPARK.evidence, ...STALL.evidence].filter((evidence): evidence is Plot => evidence.type === 'plot');

describe('decimate', () => {
  const line = fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: -100, max: 100, noNaN: true })), { minLength: 1, maxLength: 3000 })
    .map((points) => points.toSorted((a, b) => a[0] - b[0])).map((points) => ({ x: points.map(([x]) => x), y: points.map(([, y]) => y) }));

  it(`keeps the ends and the extremes, in order, and only points that were there (seed ${SEED})`, () => {
    fc.assert(fc.property(line, fc.integer({ min: 8, max: 500 }), (points, most) => {
      const kept = decimate(points, most);
      expect(kept.x.length).toBeLessThanOrEqual(Math.max(most, 8));
      expect([kept.x[0], kept.y[0], kept.x.at(-1), kept.y.at(-1)]).toEqual([points.x[0], points.y[0], points.x.at(-1), points.y.at(-1)]);
      expect([Math.min(...kept.y), Math.max(...kept.y)]).toEqual([Math.min(...points.y), Math.max(...points.y)]);
      let at = -1;
      kept.x.forEach((x, index) => {
        at = points.x.findIndex((other, from) => from > at && other === x && points.y[from] === kept.y[index]);
        expect(at).toBeGreaterThanOrEqual(0);
      });
    }), { seed: SEED, numRuns: 60 });
  });

  it('keeps a spike of one sample among a million', () => {
    const x = Array.from({ length: 1_000_000 }, (_, index) => index);
    const y = x.map((index) => (index === 345_678 ? 9 : 0));
    const kept = decimate({ x, y }, 2000);
    expect(kept.x.length).toBeLessThanOrEqual(2000);
    expect(kept.x[kept.y.indexOf(9)]).toBe(345_678);
  });

  it('keeps the shape of a closed curve, whose x turns back', () => {
    const angle = Array.from({ length: 10_000 }, (_, index) => (index / 10_000) * 2 * Math.PI);
    const kept = decimate({ x: angle.map(Math.cos), y: angle.map(Math.sin) }, 400);
    expect(kept.x.length).toBeLessThanOrEqual(400);
    // Half of the points have x below zero on a circle; a sort by x would break it.
    expect(kept.x.filter((x) => x < 0).length / kept.x.length).toBeCloseTo(0.5, 1);
    kept.x.forEach((x, index) => expect(Math.hypot(x, kept.y[index] ?? 0)).toBeCloseTo(1, 12));
  });

  it('refuses lists of different length and too few points', () => {
    expect(() => decimate({ x: [1], y: [] }, 100)).toThrow(RangeError);
    expect(() => decimate({ x: [1], y: [1] }, NaN)).toThrow(RangeError);
  });

  it('breaks the line where there is no number', () => {
    expect(finiteRuns({ x: [0, 1, 2, 3, 4], y: [1, NaN, 2, 3, Infinity] })).toEqual([{ x: [0], y: [1] }, { x: [2, 3], y: [2, 3] }]);
  });
});

describe('axisOver', () => {
  it(`has its ticks at 1, 2 or 5 times a power of ten, all inside (seed ${SEED})`, () => {
    const end = fc.double({ min: -1e9, max: 1e9, noNaN: true });
    fc.assert(fc.property(end, end, fc.integer({ min: 3, max: 9 }), fc.boolean(), (one, other, about, snap) => {
      const [low, high] = [Math.min(one, other), Math.max(one, other)];
      fc.pre(high - low > 1e-6 * Math.max(Math.abs(low), Math.abs(high)) && high - low > 1e-15);
      const axis = axisOver(low, high, 'V', about, snap);
      expect(axis.low).toBeLessThanOrEqual(low);
      expect(axis.high).toBeGreaterThanOrEqual(high);
      const steps = axis.ticks.slice(1).map((tick, index) => tick.at - (axis.ticks[index]?.at ?? NaN));
      for (const step of steps) {
        const lead = Number((step / 10 ** Math.floor(Math.log10(step) + 1e-6)).toPrecision(3));
        expect([1, 2, 5]).toContain(lead);
      }
      expect(axis.ticks.length).toBeLessThanOrEqual(about + 3);
      expect(new Set(axis.ticks.map(({ text }) => text)).size).toBe(axis.ticks.length);
    }), { seed: SEED, numRuns: 300 });
  });

  // Source: BIPM, The International System of Units, 9th edition, Table 7, SI prefixes; engineering use takes every third power.
  it.each([
    [4.2e-10, 'F', 'pF'], [3e-7, 's', 'ns'], [5e-5, 's', '\u00B5s'], [0.002, 'F', 'mF'], [42, 'V', 'V'], [1500, 'A', 'kA'], [2e6, 'Ω', 'MΩ'], [3e9, 'Hz', 'GHz'],
    [5000, 's', 's'], [5000, '°C', '°C'], [5000, '%', '%'], [5000, 'A²s', 'A²s'], [5000, '', ''],
  ])('up to %d %s is labelled in %s', (high, unit, shown) => {
    expect(axisOver(0, high, unit, 5, true).unit).toBe(shown);
  });

  it('takes a range without width, and refuses one without numbers', () => {
    expect(axisOver(5, 5, 'V', 5, true).low).toBeLessThan(5);
    expect(axisOver(0, 0, 'V', 5, true).high).toBeGreaterThan(0);
    expect(axisOver(-1e-19, 1e-19, 'A', 5, true)).toMatchObject({ low: -1, high: 1, unit: 'A' });
    for (const [low, high] of [[NaN, 1], [0, Infinity], [2, 1]] as const) expect(() => axisOver(low, high, 'V', 5, true)).toThrow(RangeError);
  });

  it('writes values as a meter would', () => {
    expect([shortValue(1010, 'A'), shortValue(0.0336, 'V'), shortValue(-2.5e-6, 'H'), shortValue(0, 'V'), shortValue(38, '%')]).toEqual(['1.01 kA', '33.6 mV', '\u22122.5 \u00B5H', '0 V', '38 %']);
  });
});

interface Label {
  readonly text: string;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Labels of a drawing with the room that they take at half an em a letter, about what a sans-serif font needs. */
function labelsOf(svg: string): Label[] {
  const size = Number(/font-size="([\d.]+)"/.exec(svg)?.[1]);
  return [...svg.matchAll(/<text(?: class="[^"]*")? x="([^"]+)" y="([^"]+)"(?: text-anchor="(\w+)")?>([^<]*)<\/text>/g)].map(([, x, y, anchor, text = '']) => {
    const width = text.length * size * 0.5;
    const left = Number(x) - (anchor === 'end' ? width : anchor === 'middle' ? width / 2 : 0);
    return { text, left, right: left + width, top: Number(y) - size * 0.75, bottom: Number(y) + size * 0.2 };
  });
}

describe('the chart', () => {
  const drawings = plots.flatMap((plot) => chart(plot).split('</svg>').slice(0, 2).map((svg) => [plot.title, /chart (\w+)/.exec(svg)?.[1] ?? '', svg] as const));

  it('is drawn wide and narrow', () => {
    expect(drawings.map(([, size]) => size)).toEqual(plots.flatMap(() => ['wide', 'narrow']));
  });

  it.each(drawings)('%s, %s: no label lies on another or leaves the picture', (_, __, svg) => {
    const labels = labelsOf(svg);
    const [, , width = 0, height = 0] = (/viewBox="([^"]+)"/.exec(svg)?.[1] ?? '').split(' ').map(Number);
    expect(labels.length).toBeGreaterThan(8);
    labels.forEach((one, index) => {
      expect(one.left).toBeGreaterThanOrEqual(-1);
      expect(one.right).toBeLessThanOrEqual(width + 8);
      expect(one.top).toBeGreaterThanOrEqual(0);
      expect(one.bottom).toBeLessThanOrEqual(height);
      for (const other of labels.slice(index + 1)) {
        const apart = one.right <= other.left || other.right <= one.left || one.bottom <= other.top || other.bottom <= one.top;
        expect(apart, `${one.text} and ${other.text}`).toBe(true);
      }
    });
  });

  it.each(drawings)('%s, %s: at most 2000 points a curve, all with numbers', (_, __, svg) => {
    for (const [, d = ''] of svg.matchAll(/class="curve[^"]*" d="([^"]*)"/g)) {
      expect(d.match(/[ML]/g)?.length ?? 0).toBeLessThanOrEqual(2000);
      expect(d).toMatch(/^[MLHh\d. -]+$/);
    }
  });

  it('tells its curves apart without colour: each after the first carries a shape', () => {
    const [svg = ''] = chart(plots[1]!).split('</svg>');
    expect(svg.match(/class="tag c1"/g)?.length).toBeGreaterThan(2);
    expect(svg.match(/class="tag c2"/g)?.length).toBeGreaterThan(2);
    expect(svg).toMatch(/class="curve c2 dashed"/);
  });

  it('puts a known point at a known place', () => {
    const plot: Plot = { type: 'plot', title: 't', x: { name: 'x', unit: '' }, y: { name: 'y', unit: '' }, curves: [{ name: 'c', x: [0, 10], y: [0, 10] }], thresholds: [], marks: [{ x: 5, y: 5, name: 'middle' }] };
    const [svg = ''] = chart(plot).split('</svg>');
    const [, x0 = '', y0 = '', x1 = '', y1 = ''] = /class="curve c0" d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"/.exec(svg) ?? [];
    const [, cx = '', cy = ''] = /class="mark-point" cx="([\d.]+)" cy="([\d.]+)"/.exec(svg) ?? [];
    expect(Number(cx)).toBeCloseTo((Number(x0) + Number(x1)) / 2, 0);
    expect(Number(cy)).toBeCloseTo((Number(y0) + Number(y1)) / 2, 0);
    expect(Number(y1)).toBeLessThan(Number(y0));
  });

  it('names a threshold far away instead of flattening the curve', () => {
    const far: Plot = { ...plots[0]!, thresholds: [{ name: 'limit', at: 1e6, axis: 'y' }, { name: 'never', at: NaN, axis: 'y' }] };
    const svg = chart(far);
    expect(svg).toContain('limit, 1 MA, beyond the chart');
    expect(svg).not.toContain('never');
    expect(svg).not.toContain('class="threshold"');
  });

  it('takes nothing, one point, a flat line and no numbers', () => {
    const empty: Plot = { type: 'plot', title: 't', x: { name: 'x', unit: 's' }, y: { name: 'y', unit: 'V' }, curves: [], thresholds: [], marks: [] };
    for (const curves of [[], [{ name: 'c', x: [], y: [] }], [{ name: 'c', x: [1], y: [1] }], [{ name: 'c', x: [0, 1], y: [5, 5] }], [{ name: 'c', x: [0, 1], y: [NaN, Infinity] }]]) {
      const svg = chart({ ...empty, curves });
      expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it('is described in words', () => {
    const words = describeChart(plots[0]!);
    for (const part of ['Current through Q1 as it turns to ON', 'between 0 A and 1.01 kA', 'Line: make rating, 450 A.', 'Mark: peak 1.01 kA at 20 \u00B5s, 1.01 kA.']) expect(words).toContain(part);
  });
});
