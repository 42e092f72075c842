import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { Curve, Evidence } from '../../questions/answer.ts';
import { shortValue } from '../../sheets/report/axis.ts';
import { chart, chartScales, type ChartScale } from '../../sheets/report/chart.ts';

type Plot = Extract<Evidence, { type: 'plot' }>;

/** Steps of the slider over a chart's width. */
const STEPS = 500;

/** A chart with a cursor: what its curves are where the pointer is, or the slider under it. */
export function PlotView({ plot }: { readonly plot: Plot }) {
  // The chart escapes every name that it draws.
  const html = useMemo(() => chart(plot), [plot]);
  const scales = useMemo(() => chartScales(plot), [plot]);
  const share = useSignal<number | undefined>(undefined);
  const { low, high } = scales.wide.scale.across;
  const at = share.value === undefined ? undefined : plot.x.log === true ? low * (high / low) ** share.value : low + share.value * (high - low);
  const readings = at === undefined ? [] : plot.curves.map((curve) => ({ name: curve.name, y: heightAt(curve, at) }));
  const words = at === undefined ? '' : [`${plot.x.name} ${shortValue(at, plot.x.unit)}`, ...readings.flatMap(({ name, y }) => (y === undefined ? [] : [`${name} ${shortValue(y, plot.y.unit)}`]))].join('; ');
  const follow = (event: PointerEvent): void => {
    const frame = event.currentTarget as Element;
    const shown = [...frame.querySelectorAll('.chart-cursor')].map((one) => one.getBoundingClientRect()).find(({ width }) => width > 0);
    if (shown === undefined) return;
    const { frame: size, scale } = shown.width / shown.height > 1.6 ? scales.wide : scales.narrow;
    const x = ((event.clientX - shown.left) / shown.width) * size.width;
    share.value = Math.min(1, Math.max(0, (x - scale.area.left) / (scale.area.right - scale.area.left)));
  };
  return (
    <div class="plot">
      <div class="chart-frame" onPointerMove={follow} onPointerDown={follow}>
        <div class="chart-ink" dangerouslySetInnerHTML={{ __html: html }} />
        {(['wide', 'narrow'] as const).map((size) => <CursorOn key={size} size={size} scale={scales[size]} at={at} heights={readings.map(({ y }) => y)} />)}
      </div>
      <input
        type="range" class="chart-slider" min="0" max={STEPS} step="1" aria-label={`Cursor on the chart: ${plot.title}`} aria-valuetext={words === '' ? 'not set' : words}
        value={Math.round((share.value ?? 0) * STEPS)} onInput={(event) => (share.value = Number(event.currentTarget.value) / STEPS)} onFocus={() => (share.value ??= 0)}
      />
      <p class="chart-reading">{words === '' ? 'Point at the chart or move the slider to read its curves.' : words}</p>
    </div>
  );
}

function CursorOn({ size, scale: { frame, scale }, at, heights }: { readonly size: 'wide' | 'narrow'; readonly scale: ChartScale; readonly at: number | undefined; readonly heights: readonly (number | undefined)[] }) {
  const { area, toX, toY } = scale;
  return (
    <svg class={`chart chart-cursor ${size}`} viewBox={`0 0 ${frame.width} ${frame.height}`} aria-hidden="true">
      {at === undefined ? null : <path class="cursor" d={`M${toX(at).toFixed(1)} ${area.top}V${area.bottom}`} />}
      {at === undefined ? null : heights.map((y, k) => (y === undefined || !(toY(y) >= area.top - 1 && toY(y) <= area.bottom + 1) ? null : <circle key={k} class="cursor-point" cx={toX(at)} cy={toY(y)} r="3.5" />))}
    </svg>
  );
}

/** Where a curve first passes over a place on the horizontal axis; undefined where it does not. */
function heightAt({ x, y }: Curve, at: number): number | undefined {
  for (let k = 1; k < x.length; k++) {
    const [x0, x1, y0, y1] = [x[k - 1]!, x[k]!, y[k - 1]!, y[k]!];
    if (!((x0 <= at && at <= x1) || (x1 <= at && at <= x0)) || !Number.isFinite(y0 + y1)) continue;
    return x1 === x0 ? y1 : y0 + ((y1 - y0) * (at - x0)) / (x1 - x0);
  }
  return undefined;
}
