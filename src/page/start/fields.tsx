import { useId } from 'preact/hooks';
import { formatValue } from '../../quantity/format.ts';
import type { Quantity } from '../../quantity/quantity.ts';
import type { Read } from './facts.ts';

/** A value to pick or to type, with how it was understood, or why it was not. */
export function Value({ name, value, options, read, onSay, example, optional }: {
  readonly name: string; readonly value: string; readonly options: readonly string[]; readonly read: Read<Quantity | number | string | undefined>;
  readonly onSay: (text: string) => void; readonly example: string; readonly optional?: string;
}) {
  const id = useId();
  const plain = (text: string): string => text.replace(/\s/g, '').toLowerCase().replace(/s$/, '');
  return (
    <div class="start-value">
      <label for={id}>{name}</label>
      {options.length === 0 ? null : (
        <div class="start-options" role="group" aria-label={`${name}: usual`}>
          {options.map((option) => <button key={option} type="button" aria-pressed={plain(option) === plain(value)} onClick={() => onSay(option)}>{option}</button>)}
        </div>
      )}
      <input id={id} type="text" autocomplete="off" spellcheck={false} value={value} placeholder={optional ?? `like ${example}`} aria-invalid={!read.ok} aria-describedby={`${id}-read`} onInput={(event) => onSay(event.currentTarget.value)} />
      <p id={`${id}-read`} class={read.ok ? 'understood' : 'trouble'} role={read.ok ? undefined : 'alert'}>{read.ok ? understood(read.value, optional) : read.why}</p>
    </div>
  );
}

function understood(value: Quantity | number | string | undefined, optional: string | undefined) {
  if (value === undefined) return <>{optional}</>;
  if (typeof value !== 'object') return <>read as <b>{value}</b></>;
  const { low, high, dimension } = value;
  return <>read as <b>{formatValue(value.value, dimension, 4).replace(' ', '\u00A0')}</b>{low === high ? '' : `, ${formatValue(low, dimension)} to ${formatValue(high, dimension)}`}</>;
}

export interface Option<Id extends string> {
  readonly id: Id;
  readonly name: string;
  readonly about: string;
  readonly off?: string | undefined;
}

/** One of a few, each with a sentence. */
export function Choice<Id extends string>({ name, options, chosen, onChoose }: { readonly name: string; readonly options: readonly Option<Id>[]; readonly chosen: Id | undefined; readonly onChoose: (id: Id) => void }) {
  const group = useId();
  return (
    <fieldset class="start-choice">
      <legend>{name}</legend>
      {options.map(({ id, name: words, about, off }) => (
        <label key={id} class={`${chosen === id ? 'chosen' : ''} ${off === undefined ? '' : 'off'}`}>
          <input type="radio" name={group} value={id} checked={chosen === id} disabled={off !== undefined} onChange={() => onChoose(id)} />
          <span><b>{words}</b> <span class="about">{off ?? about}</span></span>
        </label>
      ))}
    </fieldset>
  );
}
