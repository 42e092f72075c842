import { wordsOf } from '../../machine/field.ts';
import { kindOf, type Part } from '../../machine/parts.ts';
import { good, type GoodMachine } from '../store/document.ts';
import { look, standing, toggle, turn } from '../store/situation.ts';
import { select, selectedPart } from '../store/view.ts';
import { formatValue } from '../../quantity/format.ts';
import { pathWords } from '../drawing/situation-strip.tsx';
import { FieldRow } from './field-row.tsx';

/** The part in hand: its values, where each comes from, how it stands; without one, all parts to pick from. */
export function Hand() {
  const machine = good.value;
  if (machine === undefined) return <p class="waiting">There is no machine yet.</p>;
  const part = selectedPart.value === undefined ? undefined : machine.machine.parts.get(selectedPart.value);
  return part === undefined ? <PartList machine={machine} /> : <PartInHand key={part.id} part={part} machine={machine} />;
}

function PartList({ machine }: { readonly machine: GoodMachine }) {
  return (
    <div class="part-list">
      <h2>Parts</h2>
      <ul>{[...machine.machine.parts.values()].map((part) => <li key={part.id}><button type="button" onClick={() => select(part.id)}><b>{part.id}</b> {part.about ?? kindOf(part.kind)?.name}</button></li>)}</ul>
    </div>
  );
}

function PartInHand({ part, machine }: { readonly part: Part; readonly machine: GoodMachine }) {
  const kind = kindOf(part.kind);
  const fields = Object.entries(kind?.fields ?? {});
  const values = part.values as Readonly<Record<string, unknown>>;
  const given = fields.filter(([property]) => values[property] !== undefined);
  const missing = fields.filter(([property]) => values[property] === undefined);
  return (
    <div class="hand">
      <div class="hand-head">
        <h2>{part.id}</h2>
        <p class="about">{part.about ?? kind?.meaning}</p>
        <button type="button" class="plain" onClick={() => select(undefined)}>Put down</button>
      </div>
      <Standing part={part.id} machine={machine} />
      {given.map(([property, field]) => <FieldRow key={property} part={part.id} words={wordsOf(property)} field={field} value={values[property]} />)}
      {missing.length === 0 ? null : (
        <details class="missing">
          <summary>{missing.length === 1 ? 'One value that is not given' : `${missing.length} values that are not given`}</summary>
          {missing.map(([property, field]) => <FieldRow key={property} part={part.id} words={wordsOf(property)} field={field} value={undefined} />)}
        </details>
      )}
    </div>
  );
}

/** Where it stands in the situation, and what can be tried with it. */
function Standing({ part, machine }: { readonly part: string; readonly machine: GoodMachine }) {
  const { switches, failures } = machine.changeables;
  const own = switches.find((one) => one.part === part);
  const load = look.value?.look.loads.find((one) => one.part === part);
  const failed = failures.filter((one) => one.part === part);
  const { positions, failures: now } = standing.value;
  return (
    <div class="standing">
      {own === undefined ? null : (
        <div class="positions" role="group" aria-label={`Position of ${part}`}>
          {own.positions.map((name) => <button key={name} type="button" aria-pressed={positions[part] === name} onClick={() => turn(part, name)}>{name}</button>)}
        </div>
      )}
      {load === undefined ? null : (
        <p><b>{load.state}</b>, {formatValue(Math.abs(load.volts_V) < 0.005 ? 0 : load.volts_V, 'voltage')} across it{load.path === undefined ? '' : `, ${pathWords(load)}`}.</p>
      )}
      {failed.length === 0 ? null : (
        <details open={failed.some(({ words }) => now.includes(words))}>
          <summary>What if it fails?</summary>
          <p class="try">{failed.map(({ words }) => <button key={words} type="button" aria-pressed={now.includes(words)} onClick={() => toggle('failures', words)}>{words}</button>)}</p>
        </details>
      )}
    </div>
  );
}
