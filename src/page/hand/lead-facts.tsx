import { useSignal } from '@preact/signals';
import { useEffect, useId, useRef } from 'preact/hooks';
import { conductorText } from '../../machine/rebuild/lead-size.ts';
import { leadName, type Lead } from '../../machine/rebuild/leads.ts';
import { formatValue } from '../../quantity/format.ts';
import { parseQuantity } from '../../quantity/parse.ts';
import type { Dimension } from '../../quantity/quantity.ts';
import { applyRebuild } from '../store/document.ts';
import { select } from '../store/view.ts';

interface Written {
  readonly section: string;
  readonly length: string;
  readonly lay: string;
  readonly insulation: string;
  readonly bundled: string;
  readonly colour: string;
}

const ROWS = [
  { key: 'section', label: 'cross-section', example: 'like 8 AWG or 16 mm²', dimension: 'area' },
  { key: 'length', label: 'length, one way', example: 'like 0.50 m', dimension: 'length' },
] as const satisfies readonly { readonly key: keyof Written; readonly label: string; readonly example: string; readonly dimension: Dimension }[];

const CHOICES = [
  { key: 'lay', label: 'how + and − lie', options: ['tied', 'loose', 'coaxial'] },
  { key: 'insulation', label: 'insulation', options: ['silicone', 'pvc', 'xlpe', 'ptfe'] },
  { key: 'bundled', label: 'bundled with others', options: ['no', 'yes'] },
] as const satisfies readonly { readonly key: keyof Written; readonly label: string; readonly options: readonly string[] }[];

/** What a lead is made of: each value is written when it is left, and understood as it is typed. */
export function LeadFacts({ lead }: { readonly lead: Lead }) {
  const id = useId();
  const { chain, at, conductor } = lead;
  const stated: Written = {
    section: conductor?.section.text ?? '', length: conductor?.length.text ?? '', lay: conductor?.lay ?? 'tied', insulation: conductor?.insulation ?? 'silicone', bundled: conductor?.bundled === true ? 'yes' : 'no', colour: conductor?.colour ?? '',
  };
  const written = useSignal(stated);
  const trouble = useSignal<string | undefined>(undefined);
  const before = useRef(stated);
  useEffect(() => {
    // What is being typed into one value outlives the writing of another.
    const now = written.peek();
    const kept = (key: keyof Written): string => (now[key] === before.current[key] ? stated[key] : now[key]);
    written.value = { section: kept('section'), length: kept('length'), lay: kept('lay'), insulation: kept('insulation'), bundled: kept('bundled'), colour: kept('colour') };
    before.current = stated;
  }, [JSON.stringify(stated)]);
  const commit = async (now: Written): Promise<void> => {
    written.value = now;
    // A lead that is not in the file yet comes there when both are known.
    const whole = now.section.trim() !== '' && now.length.trim() !== '';
    const none = now.section.trim() === '' && now.length.trim() === '';
    trouble.value = undefined;
    if (JSON.stringify(now) === JSON.stringify(stated) || (!whole && !none) || (none && conductor === undefined)) return;
    const rest = { lay: now.lay as 'tied', insulation: now.insulation as 'silicone', bundled: now.bundled === 'yes', colour: now.colour.trim() === '' ? undefined : now.colour.trim() };
    const made = await applyRebuild({ rebuild: 'lead', lead: { role: chain.role, name: chain.name, at }, text: none ? '' : conductorText(now.section, now.length, rest) });
    if (!made.ok) trouble.value = `Not taken: ${made.why}`;
    else if (none || conductor === undefined) select(leadName({ chain, at, conductor: none ? undefined : now.section }));
  };
  const set = (key: keyof Written, text: string): void => void (written.value = { ...written.value, [key]: text });
  return (
    <div class="lead-facts">
      {conductor === undefined ? <p class="meaning">The file names no size here: the lead counts as having no resistance.</p> : null}
      {ROWS.map(({ key, label, example, dimension }) => (
        <div key={key} class="field">
          <label for={`${id}-${key}`}>{label}</label>
          <input
            id={`${id}-${key}`} type="text" autocomplete="off" spellcheck={false} placeholder={example} value={written.value[key]}
            onInput={(event) => set(key, event.currentTarget.value)} onChange={() => void commit(written.value)}
          />
          <Understood text={written.value[key]} dimension={dimension} />
        </div>
      ))}
      {trouble.value === undefined ? null : <p class="trouble" role="alert">{trouble.value}</p>}
      <details class="missing">
        <summary>How it lies</summary>
        {CHOICES.map(({ key, label, options }) => (
          <div key={key} class="field">
            <label for={`${id}-${key}`}>{label}</label>
            <select id={`${id}-${key}`} value={written.value[key]} onChange={(event) => void commit({ ...written.value, [key]: event.currentTarget.value })}>
              {options.map((option) => <option key={option}>{option}</option>)}
            </select>
          </div>
        ))}
        <div class="field">
          <label for={`${id}-colour`}>colour</label>
          <input id={`${id}-colour`} type="text" autocomplete="off" placeholder="like red or RD" value={written.value.colour} onInput={(event) => set('colour', event.currentTarget.value)} onChange={() => void commit(written.value)} />
        </div>
      </details>
    </div>
  );
}

function Understood({ text, dimension }: { readonly text: string; readonly dimension: Dimension }) {
  if (text.trim() === '') return null;
  const parsed = parseQuantity(text, dimension);
  if (!parsed.ok) return <p class="trouble">Expected {parsed.expected}, found {parsed.found}{parsed.hint === undefined ? '' : `; ${parsed.hint}`}.</p>;
  const { value, low, high, origin } = parsed.quantity;
  return <p class="understood">read as <b>{formatValue(value, dimension)}</b>{low === high ? '' : `, ${formatValue(low, dimension)} to ${formatValue(high, dimension)}`}, {origin === 'stated' ? 'stated in the file' : origin}</p>;
}
