import type { Position } from '../field.ts';
import type { MachineEdit } from '../file/edit.ts';
import { ON_OFF } from '../file/part-list.ts';
import type { Chain, Machine } from '../machine.ts';
import type { Part } from '../parts.ts';
import { freshPart, missingValue } from './fresh.ts';
import { chainWith, chainWords, endWords, piecesOf } from './leads.ts';
import { freeName, lettersFor, nextId, SECTION_OF, takenNames } from './names.ts';
import { isPartStep } from './steps.ts';
import type { Fresh, Plan } from './wish.ts';

/** How long the crew waits, until the answers tell what is right. Common practice, no source: "count two". */
const WAIT = '2 s';

/**
 * A resistor through which what follows a switch charges before it closes: a position of an isolator, the relay of a
 * contactor, or a push button around a link or connector. The procedure gets the steps.
 */
export function planSoftStart(machine: Machine, id: string, resistor: Fresh): Plan {
  const part = machine.parts.get(id);
  const chain = chainWith(machine, id);
  if (part === undefined || chain === undefined) return { ok: false, why: `${id} stands in no lead.` };
  const missing = missingValue(resistor);
  if (missing !== undefined) return { ok: false, why: `A soft start needs its ${missing}. Write it in.` };
  if (part.kind === 'isolator' && chain.role === 'supply') return atPosition(machine, part, resistor);
  if (part.kind === 'contactor') return atContactor(machine, part, resistor);
  return around(machine, id, chain, resistor);
}

/** Whether a switch can get one: it has none yet, as far as the switch itself tells. */
export function takesSoftStart(part: Part): boolean {
  if (part.kind === 'isolator') return ![...(part.values.positions ?? ON_OFF).values()].some(({ path }) => path === 'through');
  if (part.kind === 'contactor') return part.values.softStart === undefined;
  return part.kind === 'link' || part.kind === 'connector';
}

function atPosition(machine: Machine, part: Part & { kind: 'isolator' }, resistor: Fresh): Plan {
  if (!takesSoftStart(part)) return { ok: false, why: `${part.id} has a position that leads through a resistor already. Change that resistor instead.` };
  const { id, edit } = freshPart(machine, resistor, part.id);
  const positions = part.values.positions ?? ON_OFF;
  const name = freeName('CHARGE', new Set(positions.keys()));
  const lastOpen = [...positions].findLast(([, { path }]) => path === 'open')?.[0] ?? 'OFF';
  const closed = [...positions].find(([, { path }]) => path === 'direct')?.[0] ?? 'ON';
  const through = `through ${id}`;
  // Positions that the file leaves to be OFF and ON are written out.
  const written = positions === ON_OFF || isUsual(positions) ? { path: ['parts', part.id, 'positions'], text: `{ OFF: open, ${name}: ${through}, ON: direct }` } : { path: ['parts', part.id, 'positions', name], text: through, insert: { behind: lastOpen } };
  const steps = machine.powerUp.flatMap((step, k): MachineEdit[] => {
    if (!isPartStep(step) || step.part !== part.id || !(step.act === 'close' || (step.act === 'turn' && step.position === closed))) return [];
    return [{ path: ['procedure', k], text: `turn ${part.id} to ${closed}` }, { path: ['procedure', k], text: `wait ${WAIT}`, insert: true }, { path: ['procedure', k], text: `turn ${part.id} to ${name}`, insert: true }];
  });
  return {
    ok: true,
    // From behind, so that the numbers of the steps before stay what they are.
    edits: [edit, written, ...inReverse(steps, 3)],
    what: `a soft start for ${part.id}`,
    also: [`${part.id} gets the position ${name}, through ${id}.`, ...(steps.length === 0 ? [] : [`The procedure gets "turn ${part.id} to ${name}" and "wait ${WAIT}" before it is turned to ${closed}.`])],
    part: id,
  };
}

/** Groups of edits that belong together, the last group first. */
function inReverse(edits: readonly MachineEdit[], size: number): MachineEdit[] {
  return Array.from({ length: edits.length / size }, (_, k) => edits.slice(k * size, (k + 1) * size)).reverse().flat();
}

function isUsual(positions: ReadonlyMap<string, Position>): boolean {
  return positions.size === 2 && positions.get('OFF')?.path === 'open' && positions.get('ON')?.path === 'direct';
}

function atContactor(machine: Machine, part: Part & { kind: 'contactor' }, resistor: Fresh): Plan {
  if (!takesSoftStart(part)) return { ok: false, why: `${part.id} has a soft start already: ${part.values.softStart}. Change that resistor instead.` };
  const { id, edit } = freshPart(machine, resistor, part.id);
  return { ok: true, edits: [edit, { path: ['parts', part.id, 'soft start'], text: id }, { path: ['parts', part.id, 'timer'], text: `${WAIT} (assumed)` }], what: `a soft start for ${part.id}`, also: [`${part.id} closes by way of ${id} first, for ${WAIT}.`], part: id };
}

/** A button and a resistor in a lead of their own, from one side of the switch to the other. */
function around(machine: Machine, id: string, chain: Chain, resistor: Fresh): Plan {
  const at = chain.items.findIndex((item) => 'part' in item && item.part === id);
  const taken = takenNames(machine);
  const named = (base: string): string => {
    const name = freeName(base, taken);
    taken.add(name);
    return name;
  };
  const section = SECTION_OF[chain.role];
  const pieces = piecesOf(chain);
  const { id: resistorId, edit } = freshPart(machine, resistor, id);
  const button = nextId(machine.parts.keys(), lettersFor(machine, 'button'));
  const before = at === 0 ? endWords(machine, chain.from) : named(`before ${id}`);
  const behind = at === chain.items.length - 1 ? endWords(machine, chain.to) : named(`behind ${id}`);
  const own = named('soft start');
  const edits: MachineEdit[] = [edit, { path: ['parts', button], text: '{ kind: button, about: soft-start button }', insert: { behind: resistorId } }];
  const first = at === 0 ? undefined : [...pieces.slice(0, at + 1), `to ${before}`].join(', ');
  const last = at === chain.items.length - 1 ? undefined : [`from ${behind}`, ...pieces.slice(at + 2)].join(', ');
  const middle = `from ${before}, ${id}, to ${behind}`;
  edits.push({ path: [section, chain.name], text: first ?? middle });
  let previous = chain.name;
  const add = (name: string, text: string): void => {
    edits.push({ path: [section, name], text, insert: { behind: previous } });
    previous = name;
  };
  if (first !== undefined) add(named(`${chain.name} at ${id}`), middle);
  add(own, `from ${before}, ${resistorId}, ${button}, to ${behind}`);
  if (last !== undefined) add(named(`${chain.name} onwards`), last);
  const k = machine.powerUp.findIndex((step) => isPartStep(step) && step.part === id);
  const also = [`${resistorId} and the button ${button} lead around ${id}, in a lead named "${own}".`, ...(first === undefined && last === undefined ? [] : [`${chainWords(chain)} is parted beside ${id} for it.`])];
  if (k >= 0) {
    edits.push({ path: ['procedure', k + 1], text: `release ${button}`, insert: true }, { path: ['procedure', k], text: `wait ${WAIT}`, insert: true }, { path: ['procedure', k], text: `press ${button}`, insert: true });
    also.push(`The procedure gets "press ${button}" and "wait ${WAIT}" before "${machine.powerUp[k]?.text ?? ''}", and "release ${button}" after it.`);
  }
  return { ok: true, edits, what: `a soft start for ${id}`, also, part: resistorId };
}
