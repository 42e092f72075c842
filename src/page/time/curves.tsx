import { useSignal } from '@preact/signals';
import { useEffect, useMemo, useRef } from 'preact/hooks';
import { valueAt, type Owner, type Replay, type ReplayColumn } from '../../questions/replay/replay.ts';
import { curvesCsv, type Span } from '../../sheets/replay/csv.ts';
import { curvesSvg, panelsOf, PLOT, STYLES, xOf, type Panel } from '../../sheets/replay/picture.ts';
import { good } from '../store/document.ts';
import { isWide, selectedPart } from '../store/view.ts';
import { at_s, atWords, goTo, run, running, shown } from './run.ts';
import { useWidth } from './width.ts';
import { figureWords, RUN_WORDS } from './words.ts';
import { saveText } from '../store/save.ts';

/** Two panels fill a laptop's drawer, and so do three. */
const panelHeight = (count: number): number => (count < 3 ? 116 : 92);

/** Curves of the part in hand, or of whatever else is chosen, with the cursor of the whole page. */
export function Curves() {
  const now = running.value;
  if (now === undefined) return <p class="waiting">The curves appear when the run is there.</p>;
  return <CurvesOf key={now.run} replay={now} />;
}

interface Choice {
  readonly key: string;
  readonly name: string;
  readonly columns: readonly ReplayColumn[];
}

function CurvesOf({ replay }: { readonly replay: Replay }) {
  const chosen = useSignal<string | undefined>(undefined);
  const part = selectedPart.value;
  useEffect(() => {
    chosen.value = undefined;
  }, [part]);
  const choices = useMemo(() => choicesOf(replay), [replay]);
  // A place is held with an @ before it, a lead by its name.
  const held = part?.startsWith('@') === true ? [`point ${part.slice(1)}`] : [`part ${part ?? ''}`, `part ${controllerOf(part) ?? ''}`, `supply ${part ?? ''}`];
  const own = held.flatMap((key) => choices.find((one) => one.key === key) ?? [])[0];
  const choice = choices.find(({ key }) => key === chosen.value) ?? own ?? choices.find(({ key }) => good.peek()?.machine.parts.get(key.replace(/^part /, ''))?.kind === 'controller') ?? choices[0];
  if (choice === undefined) return <p class="waiting">This run has no curves.</p>;
  const panels = panelsOf(choice.columns);
  return (
    <div class="curves">
      <div class="curves-bar">
        <label>Curves of <select value={choice.key} onChange={(event) => (chosen.value = event.currentTarget.value)}>{choices.map(({ key, name }) => <option key={key} value={key}>{name}</option>)}</select></label>
      </div>
      {part === undefined || own !== undefined || chosen.value !== undefined ? null : <p class="waiting">Nothing of {part.replace(/^@/, '')} is followed in the {RUN_WORDS[run.value].toLowerCase()}.</p>}
      {isWide.value ? null : <p class="curves-at">{atWords.value}</p>}
      <div class="curves-body">
        <Panels replay={replay} panels={panels} />
        <div class="curves-side">
          <Values replay={replay} panels={panels} />
          <p class="curves-save">
            <button type="button" class="plain" onClick={() => save('csv', curvesCsv(replay, choice.columns, shown.peek()), choice)}>Save as CSV</button>{' '}
            <button type="button" class="plain" onClick={() => save('csv', curvesCsv(replay, replay.columns, shown.peek()), undefined)}>All curves as CSV</button>{' '}
            <button type="button" class="plain" onClick={() => save('svg', pictureOf(replay, panels, choice), choice)}>Save as picture</button>
          </p>
        </div>
      </div>
    </div>
  );
}

function Panels({ replay, panels }: { readonly replay: Replay; readonly panels: readonly Panel[] }) {
  const place = useRef<HTMLDivElement>(null);
  const width = useWidth(place);
  const span = shown.value;
  const size = { width, height: panelHeight(panels.length) };
  const names = panels.map(({ curves }) => curves.map(({ name }) => name).join()).join();
  // The picture escapes every name that it draws.
  const html = useMemo(() => (width < 80 ? '' : curvesSvg({ replay, panels, span, size })), [replay, names, span, width]);
  const said = useMemo(() => described(replay, panels, span), [replay, names, span]);
  const x = xOf(span, size, at_s.value);
  const point = (event: PointerEvent): void => {
    const { left } = (event.currentTarget as Element).getBoundingClientRect();
    const share = (event.clientX - left - PLOT.left) / (width - PLOT.left - PLOT.right);
    goTo(span.from_s + Math.min(1, Math.max(0, share)) * (span.until_s - span.from_s));
  };
  const height = panels.length * size.height + 4;
  return (
    <div class="panels" ref={place} role="img" aria-label={said} onPointerDown={(event) => { event.currentTarget.setPointerCapture(event.pointerId); point(event); }} onPointerMove={(event) => { if (event.buttons === 1) point(event); }}>
      <div class="panels-ink" style={{ minHeight: `${height}px` }} dangerouslySetInnerHTML={{ __html: html }} />
      {x < PLOT.left - 0.5 || x > width - PLOT.right + 0.5 ? null : <svg class="panels-cursor" width={width} height={height} aria-hidden="true"><path d={`M${x.toFixed(1)} 0V${height - 22}`} /></svg>}
    </div>
  );
}

/** What stands at the cursor, one line a curve. */
function Values({ replay, panels }: { readonly replay: Replay; readonly panels: readonly Panel[] }) {
  return (
    <dl class="curve-values">
      {panels.flatMap(({ quantity, curves }) => curves.map((curve, c) => (
        <div key={curve.name}>
          <dt><Sample index={c} /> {curve.name}</dt>
          <dd>{figureWords(valueAt(replay, curve, at_s.value), quantity)}</dd>
        </div>
      )))}
    </dl>
  );
}

function Sample({ index }: { readonly index: number }) {
  return <svg width="30" height="6" aria-hidden="true" dangerouslySetInnerHTML={{ __html: `<path d="M0 3h30" ${STYLES[index] ?? ''} fill="none"/>` }} />;
}

/** A motor that a run does not follow is looked at as its controller. */
function controllerOf(motor: string | undefined): string | undefined {
  return [...(good.peek()?.machine.parts.values() ?? [])].find((part) => part.kind === 'controller' && motor !== undefined && (part.values.drives === motor || part.values.alsoDrives === motor))?.id;
}

/** Everything that has curves: parts, places, leads. */
function choicesOf(replay: Replay): Choice[] {
  const owners = new Map<string, Owner>();
  for (const { of } of replay.columns)
    for (const owner of of) owners.set(keyOf(owner), 'chain' in owner ? { chain: owner.chain, role: owner.role } : owner);
  const machine = good.peek()?.machine;
  return [...owners].flatMap(([key, owner]): Choice[] => {
    // A terminal is looked at as its part.
    if ('point' in owner && /[+]$| out$/.test(owner.point)) return [];
    const columns = replay.columns.filter(({ of }) => of.some((one) => keyOf(one) === key));
    const about = 'part' in owner ? machine?.parts.get(owner.part)?.about : undefined;
    const name = 'part' in owner ? `${owner.part}${about === undefined ? '' : `, ${about}`}` : 'point' in owner ? `place ${owner.point}` : `${owner.role === 'supply' ? 'lead' : owner.role} ${owner.chain}`;
    return [{ key, name, columns }];
  }).sort((a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }));
}

function keyOf(owner: Owner): string {
  if ('part' in owner) return `part ${owner.part}`;
  return 'point' in owner ? `point ${owner.point}` : `${owner.role} ${owner.chain}`;
}

function described(replay: Replay, panels: readonly Panel[], { from_s, until_s }: Span): string {
  const curves = panels.flatMap(({ quantity, curves: all }) => all.map((curve) => `${curve.name} from ${figureWords(valueAt(replay, curve, from_s), quantity)} to ${figureWords(valueAt(replay, curve, until_s), quantity)}`));
  return `Curves over time: ${curves.join('; ')}. The values at the cursor are listed beside them.`;
}

const PICTURE = { width: 900, height: 190 };

function pictureOf(replay: Replay, panels: readonly Panel[], { name }: Choice): string {
  const title = `${good.peek()?.machine.name ?? ''}, ${RUN_WORDS[run.peek()].toLowerCase()}: ${name}`;
  return curvesSvg({ replay, panels, span: shown.peek(), size: PICTURE, alone: { title, at_s: at_s.peek(), at: atWords.peek() } });
}

/** Hands a file to the browser to be saved. */
function save(kind: 'csv' | 'svg', text: string, choice: Choice | undefined): void {
  const name = [good.peek()?.machine.name ?? 'machine', run.peek(), choice?.key.replace(/^part /, '') ?? 'all curves'].join(' ').replace(/[^\p{L}\p{N} ._-]/gu, '');
  saveText(`${name}.${kind}`, text, kind === 'csv' ? 'text/csv' : 'image/svg+xml');
}

