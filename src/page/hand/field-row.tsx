import { useSignal } from '@preact/signals';
import { useEffect, useId, useRef } from 'preact/hooks';
import type { Field } from '../../machine/field.ts';
import type { Part } from '../../machine/parts.ts';
import { formatValue } from '../../quantity/format.ts';
import { parseQuantity } from '../../quantity/parse.ts';
import type { Quantity } from '../../quantity/quantity.ts';
import { applyEdits, type Refusal } from '../store/document.ts';
import { go } from '../store/view.ts';
import { decided } from './decides.ts';

/** How long a pause in typing is taken for an end of it. */
const PAUSE_MS = 350;

export interface FieldRowProps {
  readonly part: string;
  /** Name of the field as the file writes it. */
  readonly words: string;
  readonly field: Field;
  readonly value: unknown;
}

/** One value of a part: as written, how it was understood, where it comes from, what it decides; errors beside it. */
export function FieldRow({ part, words, field, value }: FieldRowProps) {
  const id = useId();
  const trouble = useSignal<string | undefined>(undefined);
  const commit = async (text: string): Promise<void> => {
    const refused = await applyEdits([{ path: ['parts', part, words], text }], `${words} of ${part}`, `${part}.${words}`);
    trouble.value = refused === undefined ? undefined : whyNot(refused, part, words);
  };
  return (
    <div class="field">
      <label for={id}>{words}</label>
      <div class="field-body">
        {field.type === 'quantity' ? <QuantityInput id={id} part={part} words={words} field={field} value={isQuantity(value) ? value : undefined} trouble={trouble} commit={commit} />
          : field.type === 'choice' ? <ChoiceInput id={id} options={field.options} value={typeof value === 'string' ? value : ''} commit={commit} />
          : field.type === 'positions' ? <p id={id} class="read">{value instanceof Map ? [...(value as Map<string, { path: string; part?: string }>)].map(([name, { path, part: through }]) => `${name}: ${path}${through === undefined ? '' : ` ${through}`}`).join(', ') : 'none'}. Change it in the file.</p>
          : <TextInput id={id} value={typeof value === 'string' || typeof value === 'boolean' ? String(value) : ''} commit={commit} />}
        {trouble.value === undefined ? null : <p class="trouble" id={`${id}-trouble`} role="alert">{trouble.value}</p>}
        <p class="meaning">{field.meaning}</p>
      </div>
    </div>
  );
}

/** What a part is, in the builder's own words. */
export function AboutRow({ part }: { readonly part: Part }) {
  const id = useId();
  const trouble = useSignal<string | undefined>(undefined);
  const commit = async (text: string): Promise<void> => {
    if (text === (part.about ?? '')) return;
    const refused = await applyEdits([{ path: ['parts', part.id, 'about'], text }], `words about ${part.id}`);
    trouble.value = refused === undefined ? undefined : whyNot(refused, part.id, 'about');
  };
  return (
    <div class="field">
      <label for={id}>what it is, in your words</label>
      <div class="field-body">
        <TextInput id={id} value={part.about ?? ''} commit={commit} />
        {trouble.value === undefined ? null : <p class="trouble" role="alert">{trouble.value}</p>}
      </div>
    </div>
  );
}

function QuantityInput({ id, part, words, field, value, trouble, commit }: {
  readonly id: string; readonly part: string; readonly words: string; readonly field: Extract<Field, { type: 'quantity' }>; readonly value: Quantity | undefined;
  readonly trouble: { value: string | undefined }; readonly commit: (text: string) => Promise<void>;
}) {
  const written = value === undefined || value.origin === 'class default' ? '' : value.text;
  const text = useSignal(written);
  const typing = useRef(false);
  const timer = useRef<ReturnType<typeof setTimeout> | undefined>(undefined);
  useEffect(() => {
    if (!typing.current) text.value = written;
  }, [written]);
  useEffect(() => () => clearTimeout(timer.current), []);
  const parsed = text.value.trim() === '' ? undefined : parseQuantity(text.value, field.dimension, { perCell: field.perCell === true });
  const type = (now: string): void => {
    typing.current = true;
    text.value = now;
    clearTimeout(timer.current);
    const read = parseQuantity(now, field.dimension, { perCell: field.perCell === true });
    if (now.trim() !== '' && !read.ok) {
      trouble.value = `Expected ${read.expected}, found ${read.found}${read.hint === undefined ? '' : `; ${read.hint}`}.`;
      return;
    }
    trouble.value = undefined;
    if (now.trim() !== written) timer.current = setTimeout(() => void commit(now.trim()), PAUSE_MS);
  };
  const finish = (): void => {
    typing.current = false;
    clearTimeout(timer.current);
    if (trouble.value === undefined && text.value.trim() !== written) void commit(text.value.trim());
  };
  const cancel = (): void => {
    typing.current = false;
    clearTimeout(timer.current);
    trouble.value = undefined;
    text.value = written;
  };
  const shown = parsed?.ok === true ? parsed.quantity : value;
  const mark = decided(part, words);
  return (
    <>
      <input
        id={id} type="text" value={text.value} placeholder={value === undefined ? `like ${field.example}` : plainly(value)} autocomplete="off" spellcheck={false}
        class={shown === undefined ? '' : `origin-${shown.origin.replace(' ', '-')}`} aria-invalid={trouble.value !== undefined} aria-describedby={trouble.value === undefined ? undefined : `${id}-trouble`}
        onInput={(event) => type(event.currentTarget.value)} onBlur={finish} onKeyDown={(event) => (event.key === 'Enter' ? finish() : event.key === 'Escape' ? cancel() : undefined)}
      />
      {shown === undefined ? null : <p class="understood">{understood(shown)}</p>}
      {mark === undefined ? null : mark.question === undefined
        ? <p class="decides-nothing">{mark.words}</p>
        : <p class="decides-mark"><button type="button" class="plain" onClick={() => go('questions', mark.question)}>{mark.words}</button></p>}
    </>
  );
}

/** `2 mF, 1.6 mF to 2.4 mF, class default`. */
function understood({ value, low, high, dimension, origin, perCell }: Quantity) {
  const spread = low === high ? '' : `, ${formatValue(low, dimension)} to ${formatValue(high, dimension)}`;
  const cell = perCell ? ' per cell' : '';
  return <>read as <b>{formatValue(value, dimension, 4).replace(' ', '\u00A0')}{cell}</b>{spread}, <span class={`origin ${origin.replace(' ', '-')}`}>{origin === 'stated' ? 'stated in the file' : origin}</span></>;
}

function plainly({ value, dimension }: Quantity): string {
  return formatValue(value, dimension);
}

function ChoiceInput({ id, options, value, commit }: { readonly id: string; readonly options: readonly string[]; readonly value: string; readonly commit: (text: string) => Promise<void> }) {
  return (
    <select id={id} value={value} onChange={(event) => void commit(event.currentTarget.value)}>
      <option value="">not given</option>
      {options.map((option) => <option key={option}>{option}</option>)}
    </select>
  );
}

function TextInput({ id, value, commit }: { readonly id: string; readonly value: string; readonly commit: (text: string) => Promise<void> }) {
  const text = useSignal(value);
  useEffect(() => void (text.value = value), [value]);
  return <input id={id} type="text" value={text.value} onInput={(event) => (text.value = event.currentTarget.value)} onChange={() => void commit(text.value.trim())} />;
}

function whyNot({ issues, why }: Refusal, part: string, words: string): string {
  const issue = issues.find((one) => one.part === part && one.field === words) ?? issues[0];
  if (issue === undefined) return why ?? 'it cannot stand there';
  const where = issue.part === part && issue.field === words ? '' : ` (line ${issue.line}${issue.part === undefined ? '' : `, ${issue.part}`})`;
  return `Not taken${where}: expected ${issue.expected}, found ${issue.found}${issue.hint === undefined ? '' : `; ${issue.hint}`}.`;
}

function isQuantity(value: unknown): value is Quantity {
  return typeof value === 'object' && value !== null && 'dimension' in value;
}
