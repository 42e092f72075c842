import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import { wordsOf } from '../../machine/field.ts';
import { kindOf } from '../../machine/parts.ts';
import type { Rebuild } from '../../machine/rebuild/wish.ts';
import { applyRebuild, good } from '../store/document.ts';
import { begin, cameWith, found, wantsFocus } from '../store/in-hand.ts';
import { isWide, go, select } from '../store/view.ts';

/** Changes that say what they do before they do it. */
const TOLD_BEFORE: ReadonlySet<Rebuild['rebuild']> = new Set(['take out', 'disconnect', 'duplicate']);

interface Making {
  readonly trouble: { readonly value: string | undefined };
  readonly busy: { readonly value: boolean };
  /** @param then  what is taken in hand where no part is new: the first of these that is there then */
  readonly make: (wish: Rebuild, then?: readonly string[]) => Promise<void>;
}

/** Makes a change, takes the new part in hand, or says beside the button why it is not made. */
export function useMaking(): Making {
  const trouble = useSignal<string | undefined>(undefined);
  const busy = useSignal(false);
  return {
    trouble,
    busy,
    make: async (wish, then = []) => {
      busy.value = true;
      trouble.value = undefined;
      const made = await applyRebuild(wish);
      busy.value = false;
      if (!made.ok) {
        trouble.value = made.why;
        return;
      }
      const machine = good.peek()?.machine;
      const next = made.part ?? then.find((name) => machine !== undefined && found(machine, name) !== undefined);
      begin(undefined);
      cameWith.value = next === undefined || TOLD_BEFORE.has(wish.rebuild) || made.also.length === 0 ? undefined : { name: next, also: made.also };
      take(next);
    },
  };
}

/** Takes something in hand, keyboard and all. */
export function take(name: string | undefined): void {
  wantsFocus.value = name;
  select(name);
  if (!isWide.peek()) go('hand', name);
}

export function Trouble({ words }: { readonly words: string | undefined }) {
  return words === undefined ? null : <p class="trouble" role="alert">Not done: {words}</p>;
}

/** What a new part is called, and the values that it needs or that are proposed for it. */
export function Fresh({ kind, values, set }: { readonly kind: string; readonly values: Readonly<Record<string, string>>; readonly set: (property: string, text: string) => void }) {
  const id = useId();
  const fields = kindOf(kind)?.fields ?? {};
  const asked = Object.keys(fields).filter((property) => fields[property]?.required === true || values[property] !== undefined);
  return (
    <>
      {asked.map((property) => {
        const field = fields[property];
        if (field === undefined) return null;
        return (
          <div key={property}>
            <label for={`${id}-${property}`}>{wordsOf(property)}</label>
            {field.type === 'choice'
              ? <select id={`${id}-${property}`} value={values[property] ?? ''} onChange={(event) => set(property, event.currentTarget.value)}><option value="">choose</option>{field.options.map((option) => <option key={option}>{option}</option>)}</select>
              : <input id={`${id}-${property}`} type="text" autocomplete="off" spellcheck={false} value={values[property] ?? ''} placeholder={field.type === 'quantity' ? `like ${field.example}` : ''} onInput={(event) => set(property, event.currentTarget.value)} />}
            <p class="meaning">{field.meaning}</p>
          </div>
        );
      })}
      <div>
        <label for={`${id}-about`}>what it is, in your words</label>
        <input id={`${id}-about`} type="text" autocomplete="off" value={values['about'] ?? ''} placeholder="may stay empty" onInput={(event) => set('about', event.currentTarget.value)} />
      </div>
    </>
  );
}
