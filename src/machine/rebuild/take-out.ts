import { isSource, NEGATIVES, pointOf } from '../circuit/nets.ts';
import { wordsOf, type Position } from '../field.ts';
import type { MachineEdit } from '../file/edit.ts';
import type { Chain, End, Machine } from '../machine.ts';
import { kindOf, type Part } from '../parts.ts';
import { chainOf, chainWith, chainWords, endWords, listed, piecesOf } from './leads.ts';
import { freeName, SECTION_OF, takenNames } from './names.ts';
import { hasTerminal, isTerminal, isThrough, supplyOf, unfed } from './reach.ts';
import { dutyEdits, goingSteps, STEP_LISTS } from './steps.ts';
import type { ChainRef, Plan } from './wish.ts';

/** A part goes, with what has no sense without it; what stands in a lead is joined over. */
export function planTakeOut(machine: Machine, id: string): Plan {
  const part = machine.parts.get(id);
  if (part === undefined) return { ok: false, why: `There is no ${id} any more.` };
  const removal = new Removal(machine, new Set([id]));
  removal.takePart(id);
  return removal.plan(`${id} taken out`);
}

/** A chain goes, with the parts that stand in it. */
export function planDisconnect(machine: Machine, ref: ChainRef): Plan {
  const chain = chainOf(machine, ref);
  if (chain === undefined) return { ok: false, why: `There is no chain ${chainWords(ref)} any more.` };
  const removal = new Removal(machine, new Set());
  removal.takeChain(chain);
  return removal.plan(`${chainWords(ref)} disconnected`);
}

/** A chain with other pieces than the file has, and other ends. */
interface Changed {
  readonly pieces: readonly string[];
  readonly from: End;
  readonly to: End;
}

/** Gathers what goes, until nothing is left over that only what goes had needed. */
class Removal {
  private readonly parts = new Set<string>();
  private readonly chains = new Set<Chain>();
  private readonly changed = new Map<Chain, Changed>();
  private readonly also: string[] = [];
  private why: string | undefined;

  constructor(private readonly machine: Machine, private readonly asked: ReadonlySet<string>) {}

  plan(what: string): Plan {
    for (let before = -1; before !== this.parts.size + this.chains.size && this.why === undefined; ) {
      before = this.parts.size + this.chains.size;
      this.takeDeadEnds();
      this.takeUnused();
    }
    this.requireRest();
    if (this.why !== undefined) return { ok: false, why: this.why };
    const gone = [...this.parts].filter((id) => !this.asked.has(id));
    const lost = [...this.chains].map(chainWords);
    const first = [
      ...(gone.length === 0 ? [] : [`${listed(gone)} ${gone.length === 1 ? 'goes' : 'go'} with it.`]),
      ...(lost.length === 0 ? [] : [`Wires taken away: ${lost.join(', ')}.`]),
    ];
    const edits = [...this.chainEdits(), ...this.fieldEdits(), ...this.stepEdits(), ...dutyEdits(this.machine, this.parts, this.also), ...[...this.parts].map((id): MachineEdit => ({ path: ['parts', id], text: '' }))];
    return { ok: true, edits, what, also: [...first, ...this.also] };
  }

  takePart(id: string): void {
    const part = this.machine.parts.get(id);
    if (part === undefined || this.parts.has(id)) return;
    this.parts.add(id);
    // A lead to the chassis or the bench is the wire itself.
    if (part.kind === 'bench lead') this.takeChain(chainWith(this.machine, id));
    else if (isThrough(this.machine, id)) this.joinOver(id);
    else this.clearTerminals(part);
    if (part.kind === 'controller') for (const motor of [part.values.drives, part.values.alsoDrives]) if (motor !== undefined && !this.drivenByOther(motor)) this.takePart(motor);
  }

  takeChain(chain: Chain | undefined): void {
    if (chain === undefined || this.chains.has(chain)) return;
    this.chains.add(chain);
    this.changed.delete(chain);
    for (const item of chain.items) if ('part' in item) this.takePart(item.part);
  }

  private refuse(why: string): void {
    this.why ??= why;
  }

  /** The leads on both sides of a part that stood in them become one. */
  private joinOver(id: string): void {
    const chain = chainWith(this.machine, id);
    if (chain === undefined || this.chains.has(chain)) return;
    const now = this.strung(chain);
    const pieces = now.pieces.filter((piece, k) => k === 0 || k === now.pieces.length - 1 || piece !== id);
    this.changed.set(chain, { ...now, pieces });
    if (chain.items.some((item) => 'part' in item && !this.parts.has(item.part))) return;
    const around = this.alive().find((other) => other !== chain && other.role === chain.role && this.joinSame(chain, other) && other.items.some((item) => 'part' in item && !this.parts.has(item.part)));
    if (around === undefined) return;
    const bridged = around.items.flatMap((item) => ('part' in item && !this.parts.has(item.part) ? [item.part] : []));
    this.refuse(`Without ${id}, ${chainWords(chain)} would be a plain wire around ${listed(bridged)}. Disconnect ${chainWords(chain)} instead.`);
  }

  private joinSame(a: Chain, b: Chain): boolean {
    const ends = ({ from, to }: Changed): string => [pointOf(from), pointOf(to)].sort().join('\n');
    return ends(this.strung(a)) === ends(this.strung(b));
  }

  private clearTerminals({ id, kind }: Part): void {
    const touching = this.alive();
    const leaning = touching.filter(({ role, from, to }) => (role === 'supply' && (isTerminal(from, id, '-') || isTerminal(to, id, '-'))));
    if (leaning.length > 0) this.refuse(`${id} stands in series with another pack (${listed(leaning.map(chainWords))}). Change that in the file first.`);
    const fed = touching.filter(({ from, to }) => isTerminal(from, id, 'out') || isTerminal(to, id, 'out'));
    if (fed.length > 0) this.refuse(`${id} feeds ${listed([...new Set(fed.map(({ from, to }) => endWords(this.machine, isTerminal(from, id, 'out') ? to : from)))])}. Take out what it feeds first, or disconnect ${listed(fed.map(chainWords))}.`);
    const others = touching.filter(({ role, to }) => role === 'return' && !isSource(kind) && isTerminal(to, id, '-'));
    for (const chain of others) this.refuse(`The negative of ${endWords(this.machine, chain.from).replace(/-$/, '')} runs to ${id}-. Disconnect ${chainWords(chain)} first, or lead it elsewhere in the file.`);
    for (const chain of touching) if (chain.role !== 'supply' && [chain.from, chain.to].some((end) => isTerminal(end, id, '-'))) this.takeChain(chain);
    const leads = touching.filter(({ role, from, to }) => role === 'supply' && (isTerminal(from, id, '+') || isTerminal(to, id, '+')));
    const [only] = leads;
    if (only !== undefined && leads.length === 1) this.takeChain(only);
    else if (leads.length > 1) this.leavePlace(id, leads);
  }

  /** What met at the terminal of a part goes on meeting there, at a place. */
  private leavePlace(id: string, leads: readonly Chain[]): void {
    const place = freeName(`where ${id} was`, takenNames(this.machine));
    for (const chain of leads) {
      const now = this.strung(chain);
      const moved = (end: End): End => (isTerminal(end, id, '+') ? { place } : end);
      const [from, to] = [moved(now.from), moved(now.to)];
      this.changed.set(chain, { from, to, pieces: [`from ${endWords(this.machine, from)}`, ...now.pieces.slice(1, -1), `to ${endWords(this.machine, to)}`] });
    }
    this.also.push(`${listed(leads.map(chainWords))} still meet, at a place named "${place}".`);
  }

  /** A place that one chain alone touches leads nowhere. */
  private takeDeadEnds(): void {
    const touching = new Map<string, Chain[]>();
    for (const chain of this.alive()) {
      const { from, to } = this.strung(chain);
      for (const end of [from, to]) if ('place' in end) touching.set(end.place, [...(touching.get(end.place) ?? []), chain]);
    }
    for (const [place, chains] of touching) {
      const [chain] = chains;
      if (chains.length > 1 || chain === undefined || this.mayEnd(place, chain)) continue;
      const { from, to } = this.strung(chain);
      const other = 'place' in from && from.place === place ? to : from;
      if (chain.role === 'supply' && 'part' in other && other.terminal === '+' && isSource(this.machine.parts.get(other.part)?.kind)) {
        this.refuse(`Nothing would hang on "${place}" any more, and a pack needs something to feed. Connect something else there first.`);
        return;
      }
      this.takeChain(chain);
      return;
    }
  }

  /** The bar of the one-line form, and the far end of a lead to the chassis or the bench. */
  private mayEnd(place: string, chain: Chain): boolean {
    if (this.machine.wiring.bar !== undefined && place === NEGATIVES) return true;
    return chain.items.some((item) => 'part' in item && this.machine.parts.get(item.part)?.kind === 'bench lead');
  }

  /** Parts with two ends that stand nowhere any more: the resistor of a position, the switch of a coil. */
  private takeUnused(): void {
    const used = new Set<string>();
    for (const chain of this.alive()) for (const item of chain.items) if ('part' in item) used.add(item.part);
    for (const part of this.staying()) {
      if (part.kind === 'isolator') for (const position of part.values.positions?.values() ?? []) if (position.path === 'through') used.add(position.part);
      if (part.kind === 'contactor') for (const id of [part.values.softStart, part.values.coilSwitch]) if (id !== undefined) used.add(id);
      if (part.kind === 'controller' && part.values.keySwitch !== undefined) used.add(part.values.keySwitch);
    }
    for (const { id } of this.staying()) if (isThrough(this.machine, id) && !used.has(id)) this.takePart(id);
  }

  private requireRest(): void {
    const staying = this.staying();
    if (!staying.some(({ kind }) => isSource(kind))) this.refuse('A machine needs a pack, and this is its last one.');
    const hungry = unfed(staying, this.alive().filter(({ role }) => role === 'supply').map((chain) => this.strung(chain)));
    const before = new Set(unfed([...this.machine.parts.values()], supplyOf(this.machine)));
    const lost = hungry.filter((id) => !before.has(id));
    if (lost.length > 0) this.refuse(`Nothing would feed ${listed(lost)} any more. Take ${lost.length === 1 ? 'it' : 'them'} out, or connect ${lost.length === 1 ? 'it' : 'them'} to something else first.`);
    if (!staying.some(({ kind }) => !isSource(kind) && hasTerminal(kind, '+'))) this.refuse('Nothing would be left that the pack feeds. Connect something else first.');
  }

  private alive(): Chain[] {
    return this.machine.wiring.chains.filter((chain) => !this.chains.has(chain));
  }

  private staying(): Part[] {
    return [...this.machine.parts.values()].filter(({ id }) => !this.parts.has(id));
  }

  private strung(chain: Chain): Changed {
    return this.changed.get(chain) ?? { pieces: piecesOf(chain), from: chain.from, to: chain.to };
  }

  private drivenByOther(motor: string): boolean {
    return this.staying().some((part) => part.kind === 'controller' && (part.values.drives === motor || part.values.alsoDrives === motor));
  }

  private chainEdits(): MachineEdit[] {
    const edits = [...this.changed].map(([chain, { pieces }]): MachineEdit => ({ path: [SECTION_OF[chain.role], chain.name], text: pieces.join(', ') }));
    for (const role of ['supply', 'return', 'signal ground'] as const) {
      const own = this.machine.wiring.chains.filter((chain) => chain.role === role);
      const going = own.filter((chain) => this.chains.has(chain));
      // An empty section would be a fault of its own; that of the returns may hold the line of the bar.
      if (role === 'signal ground' && going.length > 0 && going.length === own.length) edits.push({ path: [SECTION_OF[role]], text: '' });
      else edits.push(...going.map(({ name }): MachineEdit => ({ path: [SECTION_OF[role], name], text: '' })));
    }
    return edits;
  }

  /** Fields that name what goes are left out, and positions that lead through it. */
  private fieldEdits(): MachineEdit[] {
    const points = this.goingPoints();
    return this.staying().flatMap((part) => {
      const values = part.values as Readonly<Record<string, unknown>>;
      const dropped = Object.entries(kindOf(part.kind)?.fields ?? {}).filter(([property, field]) => {
        const value = values[property];
        if (typeof value !== 'string') return false;
        return field.type === 'part' ? this.parts.has(value) : /^(?:coil|key)From$/.test(property) && points.has(value.replace('\u2212', '-').replace(/\s+(?=[+-]$)/, ''));
      }).map(([property]) => property);
      // How long its soft start lasts says nothing without one.
      const alone = dropped.includes('softStart') ? ['timer', 'threshold'].filter((property) => isWritten(values[property])) : [];
      const lost = [...dropped, ...alone].map(wordsOf);
      if (lost.length > 0) this.also.push(`${part.id} loses its "${lost.join('", "')}".`);
      const positions = this.lostPositions(part);
      if (positions.length > 0) this.also.push(`${part.id} loses its position ${listed(positions)}.`);
      return [...lost.map((words): MachineEdit => ({ path: ['parts', part.id, words], text: '' })), ...positions.map((name): MachineEdit => ({ path: ['parts', part.id, 'positions', name], text: '' }))];
    });
  }

  private goingPoints(): ReadonlySet<string> {
    const staying = new Set(this.alive().flatMap((chain) => [pointOf(this.strung(chain).from), pointOf(this.strung(chain).to)]));
    const going = this.machine.wiring.chains.flatMap(({ from, to }) => [from, to]).filter((end) => !staying.has(pointOf(end)));
    return new Set(going.flatMap((end) => ('part' in end && end.terminal === '+' ? [pointOf(end), end.part] : [pointOf(end)])));
  }

  private lostPositions(part: Part): string[] {
    if (part.kind !== 'isolator') return [];
    return [...(part.values.positions ?? new Map<string, Position>())].flatMap(([name, position]) => (position.path === 'through' && this.parts.has(position.part) ? [name] : []));
  }

  private stepEdits(): MachineEdit[] {
    const lost = new Map(this.staying().map((part) => [part.id, this.lostPositions(part)]));
    return STEP_LISTS.flatMap(([section, list]) => {
      const steps = this.machine[list];
      const going = goingSteps(steps, (step) => this.parts.has(step.part) || (step.act === 'turn' && (lost.get(step.part) ?? []).includes(step.position)));
      if (going.length === 0) return [];
      this.also.push(`${section === 'procedure' ? 'The procedure' : 'Power down'} loses ${going.map((k) => `"${steps[k]?.text ?? ''}"`).join(', ')}.`);
      if (going.length === steps.length) return [{ path: [section], text: '' }];
      return going.reverse().map((k): MachineEdit => ({ path: [section, k], text: '' }));
    });
  }
}

function isWritten(value: unknown): boolean {
  return typeof value === 'object' && value !== null && 'origin' in value && value.origin !== 'class default';
}
