import type { Evidence, PlotAxis } from '../../questions/answer.ts';
import { axisOver, logAxisOver, type Axis } from './axis.ts';
import type { Box } from './labels.ts';

export type Plot = Extract<Evidence, { readonly type: 'plot' }>;

/** Size of a drawing and of its text, px. */
export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly text: number;
  /** Space left of the vertical axis, for its numbers. */
  readonly gutter: number;
  readonly ticksAcross: number;
  readonly ticksUp: number;
  /** Points kept of each curve. */
  readonly points: number;
}

/** Axes of a plot and the way from values to px. */
export interface Scale {
  readonly across: Axis;
  readonly up: Axis;
  readonly area: Box;
  readonly toX: (value: number) => number;
  readonly toY: (value: number) => number;
}

/** Axes that hold every curve and mark; `top` is where the plot area starts, px. */
export function scaleOf(plot: Plot, frame: Frame, top: number): Scale {
  const xs = [...plot.curves.map((curve) => curve.x), plot.marks.map((mark) => mark.x)];
  const ys = [...plot.curves.map((curve) => curve.y), plot.marks.map((mark) => mark.y)];
  const across = axisOf(plot.x, xs, atOf(plot, 'x'), frame.ticksAcross, false);
  const up = axisOf(plot.y, ys, atOf(plot, 'y'), frame.ticksUp, true);
  const area = { left: frame.gutter, top, right: frame.width - 14, bottom: frame.height - 3.2 * frame.text };
  return {
    across,
    up,
    area,
    toX: (value) => area.left + shareOf(plot.x, across, value) * (area.right - area.left),
    toY: (value) => area.bottom - shareOf(plot.y, up, value) * (area.bottom - area.top),
  };
}

function axisOf({ log, unit }: PlotAxis, lists: readonly (readonly number[])[], thresholds: readonly number[], about: number, height: boolean): Axis {
  if (log === true) {
    const logs = (values: readonly number[]): number[] => values.filter((value) => value > 0).map(Math.log10);
    const { low, high } = withThresholds(rangeOf(lists.map(logs)), logs(thresholds));
    return logAxisOver(10 ** low, 10 ** high, unit, about);
  }
  const range = rangeOf(lists);
  const { low, high } = withThresholds(height ? fromZero(range) : range, thresholds);
  return axisOver(low, high, unit, about, height);
}

/** How far along its axis a value lies, 0 at the low end and 1 at the high one. */
function shareOf({ log }: PlotAxis, { low, high }: Axis, value: number): number {
  return log === true ? Math.log(value / low) / Math.log(high / low) : (value - low) / (high - low);
}

/** A plot without what a logarithmic axis has no place for: zero and below. */
export function drawable(plot: Plot): Plot {
  const fits = ({ log }: PlotAxis, value: number): boolean => log !== true || value > 0;
  if (plot.x.log !== true && plot.y.log !== true) return plot;
  return {
    ...plot,
    curves: plot.curves.map((curve) => ({ ...curve, x: curve.x.map((x) => (fits(plot.x, x) ? x : NaN)), y: curve.y.map((y) => (fits(plot.y, y) ? y : NaN)) })),
    thresholds: plot.thresholds.filter(({ at, axis }) => fits(plot[axis], at)),
    marks: plot.marks.filter(({ x, y }) => fits(plot.x, x) && fits(plot.y, y)),
  };
}

interface Range {
  readonly low: number;
  readonly high: number;
}

function rangeOf(lists: readonly (readonly number[])[]): Range {
  let low = Infinity;
  let high = -Infinity;
  for (const list of lists) {
    for (const value of list) {
      if (!Number.isFinite(value)) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  }
  return low <= high ? { low, high } : { low: 0, high: 1 };
}

/** A height is judged from zero, unless the curve only ripples far above it. */
function fromZero({ low, high }: Range): Range {
  if (low >= 0 && low < 0.7 * high) return { low: 0, high };
  if (high <= 0 && high > 0.7 * low) return { low, high: 0 };
  return { low, high };
}

/** A threshold is shown when that leaves the curves at least a sixth of the room; a farther one is named at the edge. */
function withThresholds(range: Range, at: readonly number[]): Range {
  const span = range.high - range.low || Math.abs(range.high) || 1;
  return at.reduce((all, value) => {
    const wider = { low: Math.min(all.low, value), high: Math.max(all.high, value) };
    return wider.high - wider.low <= 6 * span ? wider : all;
  }, range);
}

function atOf(plot: Plot, axis: 'x' | 'y'): number[] {
  return plot.thresholds.filter((threshold) => threshold.axis === axis && Number.isFinite(threshold.at)).map((threshold) => threshold.at);
}
