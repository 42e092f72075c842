import { conductorResistance_ohm } from '../../physics/conductors.ts';
import type { FromValues } from '../circuit/binder.ts';
import { positionsOf, SOFT } from '../circuit/chains.ts';
import { impliedReturns, pointOf } from '../circuit/nets.ts';
import type { Inputs } from '../inputs.ts';
import type { Chain, Machine } from '../machine.ts';
import type { Part } from '../parts.ts';

/** One item of a strand with its resistance. */
export interface StrandItem {
  /** Part, or undefined for a conductor or a joint of the bar. */
  readonly part: string | undefined;
  /** In words, for paths: `fuse F1`, `8 AWG lead of drive`. */
  readonly words: string;
  readonly ohm: FromValues;
  /** Section of a conductor, m²; decides how hot it gets. */
  readonly section: FromValues | undefined;
  readonly length: FromValues | undefined;
}

/** A switch of a machine with the resistance of each of its positions. */
export interface SwitchRow {
  readonly part: string;
  readonly positions: readonly SwitchPosition[];
}

export interface SwitchPosition {
  readonly name: string;
  /** Resistance of the way, Ω; undefined where it is open. */
  readonly ohm: FromValues | undefined;
  /** Resistor that the way leads through. */
  readonly through: string | undefined;
}

/** Items in a row between two points; at most one diode. */
export interface Strand {
  readonly name: string;
  readonly chain: Chain;
  readonly role: Chain['role'];
  readonly from: string;
  readonly to: string;
  readonly items: readonly StrandItem[];
  /** Blocking diode or ideal diode in it, conducting from `from` to `to`. */
  readonly diode: string | undefined;
  /** Indices of its switches in the machine's list. */
  readonly switches: readonly number[];
  /** Switches elsewhere that must be closed for those in it to close: in the feed of a contactor's coil. */
  readonly gates: readonly number[];
  /** Every part in it in order, switches and diode included. */
  readonly parts: readonly string[];
}

/** Every switch of a machine, whether a procedure names it or not. */
export function switchRows(machine: Machine, inputs: Inputs): SwitchRow[] {
  const value = valueOf(inputs);
  return [...machine.parts.values()].flatMap((part): SwitchRow[] => {
    switch (part.kind) {
      case 'isolator': {
        const closed = value(`${part.id}.closedResistance`);
        const positions = positionsOf(part).map(([name, path]): SwitchPosition => {
          if (path.path === 'open') return { name, ohm: undefined, through: undefined };
          if (path.path === 'direct') return { name, ohm: closed, through: undefined };
          const through = value(`${path.part}.resistance`);
          return { name, ohm: (v) => closed(v) + through(v), through: path.part };
        });
        return [{ part: part.id, positions }];
      }
      case 'contactor': {
        const closed = value(`${part.id}.closedResistance`);
        const soft = part.values.softStart;
        const through = soft === undefined ? undefined : value(`${soft}.resistance`);
        const middle: SwitchPosition[] = through === undefined ? [] : [{ name: SOFT, ohm: through, through: soft }];
        return [{ part: part.id, positions: [OPEN, ...middle, { name: 'ON', ohm: closed, through: undefined }] }];
      }
      case 'connector': {
        const closed = value(`${part.id}.closedResistance`);
        const first: SwitchPosition[] = part.values.builtInResistor === undefined ? [] : [{ name: SOFT, ohm: value(`${part.id}.resistance`), through: part.id }];
        return [{ part: part.id, positions: [OPEN, ...first, { name: 'closed', ohm: closed, through: undefined }] }];
      }
      case 'link':
      case 'button':
        return [{ part: part.id, positions: [OPEN, { name: 'closed', ohm: value(`${part.id}.closedResistance`), through: undefined }] }];
      case 'bench lead':
        if (part.values.present === 'always') return [];
        return [{ part: part.id, positions: [{ ...OPEN, name: 'unplugged' }, { name: 'plugged in', ohm: value(`${part.id}.resistance`), through: undefined }] }];
      case 'solid-state switch':
        return [{ part: part.id, positions: [OPEN, { name: 'closed', ohm: value(`${part.id}.onResistance`), through: undefined }] }];
      default:
        return [];
    }
  });
}

const OPEN: SwitchPosition = { name: 'open', ohm: undefined, through: undefined };

/** Strands of every chain, and of the return leads that the one-line form implies. */
export function strandsOf(machine: Machine, inputs: Inputs, rows: readonly SwitchRow[]): Strand[] {
  const strands: Strand[] = [];
  for (const chain of machine.wiring.chains) {
    if (chain.items.length === 0) continue;
    strands.push(...chainStrands(machine, inputs, rows, chain));
  }
  const value = valueOf(inputs);
  for (const { chain, low, high } of impliedReturns(machine)) {
    const joint: StrandItem = { part: undefined, words: `negative joint of ${chain.name}`, ohm: value('returns.joint'), section: undefined, length: undefined };
    const leads = chain.items.flatMap((item, k) => ('conductor' in item ? [conductorItem(inputs, chain, k, 'return lead')] : []));
    strands.push({ name: `${chain.name} return`, chain, role: 'return', from: low, to: high, items: [...leads, joint], diode: undefined, switches: [], gates: [], parts: [] });
  }
  return strands;
}

function chainStrands(machine: Machine, inputs: Inputs, rows: readonly SwitchRow[], chain: Chain): Strand[] {
  const pieces: { items: StrandItem[]; diode: string | undefined; switches: number[]; parts: string[] }[] = [];
  let piece = { items: [] as StrandItem[], diode: undefined as string | undefined, switches: [] as number[], parts: [] as string[] };
  chain.items.forEach((item, k) => {
    if ('conductor' in item) {
      piece.items.push(conductorItem(inputs, chain, k, chain.role === 'supply' ? 'lead' : chain.role === 'return' ? 'return lead' : 'signal ground lead'));
      return;
    }
    const part = machine.parts.get(item.part)!;
    if (part.kind === 'diode' || part.kind === 'ideal diode') {
      if (piece.diode !== undefined) {
        pieces.push(piece);
        piece = { items: [], diode: undefined, switches: [], parts: [] };
      }
      piece.diode = part.id;
    } else {
      const row = rows.findIndex((one) => one.part === part.id);
      if (row >= 0) piece.switches.push(row);
      else piece.items.push(partItem(inputs, part));
    }
    piece.parts.push(part.id);
  });
  pieces.push(piece);
  return pieces.map((one, k): Strand => ({
    name: k === 0 ? chain.name : `${chain.name} (${k + 1})`,
    chain,
    role: chain.role,
    from: k === 0 ? pointOf(chain.from) : `${chain.name} behind ${pieces[k - 1]!.diode!}`,
    to: k === pieces.length - 1 ? pointOf(chain.to) : `${chain.name} behind ${one.diode!}`,
    ...one,
    gates: one.parts.flatMap((id) => {
      const part = machine.parts.get(id);
      const gate = part?.kind === 'contactor' && part.values.coilSwitch !== undefined ? rows.findIndex((row) => row.part === part.values.coilSwitch) : -1;
      return gate < 0 ? [] : [gate];
    }),
  }));
}

function conductorItem(inputs: Inputs, chain: Chain, k: number, word: string): StrandItem {
  const value = valueOf(inputs);
  const section = value(`${chain.name}#${k}.section`);
  const length = value(`${chain.name}#${k}.length`);
  const temperature = value('surroundings.inside');
  return {
    part: undefined,
    words: `${word} of ${chain.name}`,
    ohm: (v) => conductorResistance_ohm(section(v), length(v), temperature(v), undefined, 'fine'),
    section,
    length,
  };
}

function partItem(inputs: Inputs, part: Part): StrandItem {
  return { part: part.id, words: `${part.kind} ${part.id}`, ohm: valueOf(inputs)(`${part.id}.resistance`), section: undefined, length: undefined };
}

export function valueOf(inputs: Inputs): (key: string) => FromValues {
  return (key) => {
    const at = inputs.at(key);
    return (v) => v[at]!;
  };
}
