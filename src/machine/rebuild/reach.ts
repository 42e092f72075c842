import { isSource, pointOf } from '../circuit/nets.ts';
import type { Chain, End, Machine } from '../machine.ts';
import { kindOf, type Part } from '../parts.ts';

/** A chain as it would be: its ends may have moved. */
export interface Strung {
  readonly from: End;
  readonly to: End;
}

/**
 * Points of the + side that packs reach over these chains, through converters and regulators; switches count as closed.
 * What others feed does not go back into an output.
 */
export function pointsFed(parts: Iterable<Part>, chains: readonly Strung[]): ReadonlySet<string> {
  const beside = new Map<string, string[]>();
  const join = (a: string, b: string): void => void beside.set(a, [...(beside.get(a) ?? []), b]);
  const isOutput = (end: End): boolean => 'part' in end && end.terminal === 'out';
  const starts: string[] = [];
  for (const { from, to } of chains) {
    if (!isOutput(to)) join(pointOf(from), pointOf(to));
    if (!isOutput(from)) join(pointOf(to), pointOf(from));
  }
  for (const part of parts) {
    if (isSource(part.kind)) starts.push(`${part.id}+`);
    if (hasTerminal(part.kind, 'out')) join(`${part.id}+`, `${part.id} out`);
  }
  const fed = new Set<string>();
  for (let point = starts.pop(); point !== undefined; point = starts.pop()) {
    if (fed.has(point)) continue;
    fed.add(point);
    starts.push(...(beside.get(point) ?? []));
  }
  return fed;
}

/** Parts of a machine with a + that these chains feed no more. */
export function unfed(parts: readonly Part[], chains: readonly Strung[]): string[] {
  const fed = pointsFed(parts, chains);
  return parts.filter((part) => !isSource(part.kind) && hasTerminal(part.kind, '+') && !fed.has(`${part.id}+`)).map(({ id }) => id);
}

export function hasTerminal(kind: string, terminal: '+' | '-' | 'out'): boolean {
  const terminals = kindOf(kind)?.terminals;
  return terminals !== undefined && terminals !== 'through' && terminals.includes(terminal);
}

export function isThrough(machine: Machine, id: string): boolean {
  const part = machine.parts.get(id);
  return part !== undefined && kindOf(part.kind)?.terminals === 'through';
}

export function supplyOf(machine: Machine): readonly Chain[] {
  return machine.wiring.chains.filter(({ role }) => role === 'supply');
}

/** Whether an end is this terminal of a part. */
export function isTerminal(end: End, part: string, terminal: '+' | '-' | 'out'): boolean {
  return 'part' in end && end.part === part && end.terminal === terminal;
}
