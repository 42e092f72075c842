import { describe, expect, it } from 'vitest';
import { logAxisOver } from '../../src/sheets/report/axis.ts';
import { chart } from '../../src/sheets/report/chart.ts';
import type { Plot } from '../../src/sheets/report/scale.ts';

const plot = (curves: Plot['curves'], more: Partial<Plot> = {}): Plot => ({
  type: 'plot', title: 't', x: { name: 'time', unit: 's', log: true }, y: { name: 'current', unit: 'A', log: true }, curves, thresholds: [], marks: [], ...more,
});

describe('a logarithmic axis', () => {
  it('ends at 1, 2 or 5 times a power of ten and labels every tick with its own prefix', () => {
    const axis = logAxisOver(3e-5, 70, 's', 8);
    expect([axis.low, axis.high]).toEqual([2e-5, 100]);
    expect(axis.ticks.map(({ text }) => text)).toEqual(['100 µs', '1 ms', '10 ms', '100 ms', '1 s', '10 s', '100 s']);
  });

  it('takes every second or third decade where there is no room for all, and 1, 2, 5 where there is', () => {
    expect(logAxisOver(1e-6, 1e3, 's', 4).ticks.map(({ text }) => text)).toEqual(['1 µs', '1 ms', '1 s', '1000 s']);
    expect(logAxisOver(30, 300, 'A', 5).ticks.map(({ text }) => text)).toEqual(['20 A', '50 A', '100 A', '200 A', '500 A']);
    expect(logAxisOver(5, 5, 'A', 5)).toMatchObject({ low: 5, high: 10 });
  });

  it('refuses what has no logarithm', () => {
    for (const [low, high] of [[0, 1], [-1, 1], [NaN, 1], [1, Infinity], [2, 1]] as const) expect(() => logAxisOver(low, high, 'A', 5)).toThrow(RangeError);
  });
});

describe('a chart with logarithmic axes', () => {
  it('draws a power law as a straight line', () => {
    const x = [1e-3, 1e-2, 1e-1, 1];
    const [svg = ''] = chart(plot([{ name: 'c', x, y: x.map((t) => 100 / Math.sqrt(t)) }])).split('</svg>');
    const points = [...(/class="curve c0" d="([^"]+)"/.exec(svg)?.[1] ?? '').matchAll(/[ML]([\d.]+) ([\d.]+)/g)].map(([, px, py]) => [Number(px), Number(py)] as const);
    expect(points).toHaveLength(4);
    const slopes = points.slice(1).map(([px, py], k) => (py - points[k]![1]) / (px - points[k]![0]));
    // Places are rounded to a tenth of a pixel.
    for (const slope of slopes) expect(slope).toBeCloseTo(slopes[0]!, 2);
    expect(slopes[0]).toBeGreaterThan(0);
  });

  it('keeps small values that a linear thinning would drop', () => {
    const x = Array.from({ length: 5000 }, (_, k) => 10 ** (-6 + (9 * k) / 5000));
    const [svg = ''] = chart(plot([{ name: 'c', x, y: x.map((_, k) => (k === 40 ? 1000 : 1)) }])).split('</svg>');
    const heights = [...(/class="curve c0" d="([^"]+)"/.exec(svg)?.[1] ?? '').matchAll(/[ML]([\d.]+) ([\d.]+)/g)].map(([, , py]) => Number(py));
    // The spike lies in the first hundredth of nine decades.
    expect(Math.max(...heights) - Math.min(...heights)).toBeGreaterThan(100);
    expect(heights.length).toBeGreaterThan(500);
  });

  it('leaves out zero and below, and draws what is left', () => {
    const svg = chart(plot([{ name: 'c', x: [0, 1, 10], y: [5, -1, 2] }, { name: 'd', x: [1, 10], y: [1, 2] }], { thresholds: [{ name: 'zero', at: 0, axis: 'y' }], marks: [{ x: -1, y: 1, name: 'before' }] }));
    expect(svg).not.toMatch(/NaN|Infinity|undefined|>zero|>before/);
    expect(chart(plot([{ name: 'c', x: [0], y: [0] }]))).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('cuts no number at its right edge', () => {
    const [wide = ''] = chart(plot([{ name: 'c', x: [1e-5, 1000], y: [1, 10] }])).split('</svg>');
    for (const [, x, anchor, text = ''] of wide.matchAll(/<text class="tick" x="([^"]+)" y="[^"]+" text-anchor="(\w+)">([^<]*)</g)) {
      // Half an em a letter, about what a sans-serif font needs.
      const width = text.length * 13.5 * 0.5;
      expect(Number(x) + (anchor === 'middle' ? width / 2 : anchor === 'start' ? width : 0), text).toBeLessThanOrEqual(720);
    }
  });
});
