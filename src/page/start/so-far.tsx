import { signal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { starterChoices } from '../../machine/starter/choices.ts';
import type { StarterFacts } from '../../machine/starter/facts.ts';
import { formatValue } from '../../quantity/format.ts';
import { joinUnits } from '../../sheets/report/words.ts';
import { callerOf } from '../workers/caller.ts';
import type { Drawn, DrawRequest } from '../workers/messages.ts';
import { facts, made } from './walk.ts';

const draw = callerOf<DrawRequest, Drawn | undefined>(() => new Worker(new URL('../workers/drawing.worker.ts', import.meta.url), { type: 'module' }));
const svg = signal<string | undefined>(undefined);

/** Typing goes on for a while before it is worth a drawing. */
const PAUSE_MS = 250;

/** The machine that the answers make so far: drawn, with what the program chose. */
export function SoFar() {
  const place = useRef<HTMLDivElement>(null);
  const text = made.value?.text;
  useEffect(() => {
    if (text === undefined) return;
    let current = true;
    const timer = setTimeout(() => {
      const { width = 800, height = 500 } = place.current?.getBoundingClientRect() ?? {};
      draw({ does: 'draw', text, aspect: Math.max(0.5, width / Math.max(1, height)), situation: undefined, lit: [] }).then(
        (drawn) => {
          if (current) svg.value = drawn?.svg;
        },
        () => undefined,
      );
    }, PAUSE_MS);
    return () => {
      current = false;
      clearTimeout(timer);
    };
  }, [text]);
  return (
    <section class="start-so-far" aria-label="Your machine so far">
      <h2>Your machine so far</h2>
      {svg.value === undefined ? <div class="start-drawing" ref={place}><p class="waiting">Being drawn …</p></div> : <div class="start-drawing" ref={place} dangerouslySetInnerHTML={{ __html: svg.value }} />}
      {facts.value === undefined ? <p class="waiting">One answer cannot be read yet.</p> : <Chosen facts={facts.value} />}
    </section>
  );
}

/** What was said, and what is only a first guess. */
export function Chosen({ facts: now }: { readonly facts: StarterFacts }) {
  const { softStart, fuse_A, branches, full_V, closing_A, make_A } = starterChoices(now);
  const guess = <span class="origin class-default">first guess</span>;
  const said = [
    ['Pack', `${now.cells}S, ${now.capacity.text}, ${formatValue(full_V, 'voltage')} full`, undefined],
    ['Drive', `${now.drive.count} × ${now.drive.rating.text}`, undefined],
    ['Weapon or arm', now.weapon?.text ?? 'none', undefined],
    ['Fuse', formatValue(fuse_A, 'current'), now.fuse === undefined ? guess : undefined],
    ...branches.map(({ feeds, softStart: one }) => [
      `Soft start${feeds === 'all' ? '' : `, ${feeds}`}`,
      one === undefined
        ? `none: closes on about ${formatValue(closing_A, 'current', 2)}; such a contact takes ${formatValue(make_A, 'current', 2)}`
        : `${softStart === 'charge' ? 'a CHARGE position' : 'a push button'}, ${formatValue(one.resistance_ohm, 'resistance')}, counted ${formatValue(one.count_s, 'time')}`,
      now.softStart === 'none' ? undefined : guess,
    ] as const),
    ['Leads', 'by the current that they carry, each 0.4 m', guess],
    ['All else', 'capacitors, resistances, standby', <span class="origin class-default">class default</span>],
  ] as const;
  return <dl class="start-chosen">{said.map(([name, words, origin]) => <div key={name}><dt>{name}</dt><dd>{joinUnits(words)} {origin}</dd></div>)}</dl>;
}
