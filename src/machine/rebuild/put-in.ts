import type { MachineEdit } from '../file/edit.ts';
import type { Chain, Machine } from '../machine.ts';
import { kindOf } from '../parts.ts';
import { freshPart, missingValue } from './fresh.ts';
import { chainOf, chainWords, piecesOf } from './leads.ts';
import { SECTION_OF } from './names.ts';
import type { Fresh, InChain, Plan } from './wish.ts';
import { newSwitchSteps } from './steps.ts';

/** A part comes into a chain, before the item that has the number. */
export function planPutIn(machine: Machine, into: InChain, part: Fresh): Plan {
  const chain = chainOf(machine, into);
  const kind = kindOf(part.kind);
  if (chain === undefined) return { ok: false, why: `There is no chain ${chainWords(into)} any more.` };
  if (!(into.at >= 0 && into.at <= chain.items.length)) return { ok: false, why: `${chainWords(into)} has changed. Choose the place again.` };
  if (kind?.terminals !== 'through') return { ok: false, why: `${kind?.name ?? part.kind} has no two ends to stand in a lead. Connect it to a point instead.` };
  const missing = missingValue(part);
  if (missing !== undefined) return { ok: false, why: `${kind.name} needs its ${missing}. Write it in.` };
  const values = chain.role === 'return' && part.kind === 'isolator' ? { ...part.values, opensReturn: 'true' } : part.values;
  const { id, edit } = freshPart(machine, { kind: part.kind, values }, neighbour(chain, into.at));
  const pieces = piecesOf(chain).toSpliced(into.at + 1, 0, id);
  const steps = newSwitchSteps(machine, id, part.kind);
  const edits: MachineEdit[] = [edit, { path: [SECTION_OF[chain.role], chain.name], text: pieces.join(', ') }, ...steps.edits];
  return { ok: true, edits, what: `${id}, ${kind.name}, put into ${chainWords(chain)}`, also: steps.also, part: id };
}

/** The part that stands next to a place in a chain, with which it is listed. */
export function neighbour(chain: Chain, at: number): string | undefined {
  const beside = [...chain.items.slice(0, at).reverse(), ...chain.items.slice(at)].find((item) => 'part' in item);
  if (beside !== undefined && 'part' in beside) return beside.part;
  return 'part' in chain.to ? chain.to.part : 'part' in chain.from ? chain.from.part : undefined;
}
