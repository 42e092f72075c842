import type { Conductor, Machine } from '../machine.ts';
import { chainOf, chainWords, piecesOf } from './leads.ts';
import { SECTION_OF } from './names.ts';
import type { InChain, Plan } from './wish.ts';

/** A conductor as the file writes it, from the texts of its section and length and how it lies. */
export function conductorText(section: string, length: string, rest: Partial<Pick<Conductor, 'lay' | 'insulation' | 'bundled' | 'colour'>> = {}): string {
  const words = [
    rest.lay === undefined || rest.lay === 'tied' ? '' : rest.lay,
    rest.insulation === undefined || rest.insulation === 'silicone' ? '' : rest.insulation,
    rest.bundled === true ? 'bundled' : '',
    rest.colour ?? '',
  ];
  return [section, length, ...words].map((word) => word.trim()).filter((word) => word !== '').join(' ');
}

/** Another conductor for a piece of a chain; the first one where none is written; none where the text is empty. */
export function planLead(machine: Machine, lead: InChain, text: string): Plan {
  const chain = chainOf(machine, lead);
  if (chain === undefined) return { ok: false, why: `There is no chain ${chainWords(lead)} any more.` };
  const item = chain.items[lead.at];
  const there = item !== undefined && 'conductor' in item;
  const written = text.trim();
  if (written.includes(',')) return { ok: false, why: 'A lead is written without commas, like "8 AWG 0.50 m": write a decimal point.' };
  if (!there && written === '') return { ok: false, why: 'There is no size here to take out.' };
  if (!there && !/\d/.test(written)) return { ok: false, why: 'A lead is written by its section and length, like "8 AWG 0.50 m".' };
  const pieces = piecesOf(chain).toSpliced(lead.at + 1, there ? 1 : 0, ...(written === '' ? [] : [written]));
  return { ok: true, edits: [{ path: [SECTION_OF[chain.role], chain.name], text: pieces.join(', ') }], what: `lead of ${chainWords(chain)}`, also: [] };
}
