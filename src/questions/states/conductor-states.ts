import { pointOf } from '../../machine/circuit/nets.ts';
import type { Chain } from '../../machine/machine.ts';
import type { MachineNetwork, StrandElements } from '../../machine/network/machine-network.ts';
import { STARTED, type Setting, type Situation } from '../../machine/network/situation.ts';
import { DEAD_V } from './load-class.ts';

/** Live: straight from a pack. Fed: through an impedance. Leaking: by a way that nobody meant. */
export type ConductorState = 'live' | 'fed' | 'leaking' | 'dead';

export interface ConductorLook {
  /** By the name of a supply chain: the state in front of its first item, behind it, and so on. */
  readonly conductors: Readonly<Record<string, readonly ConductorState[]>>;
  /** By point (`bar`, `T1+`, `T3 out`): its state, and its voltage against the lowest pack's −, V. */
  readonly places: Readonly<Record<string, { readonly state: ConductorState; readonly volts_V: number }>>;
}

/** Parts in a lead that carry current as the lead itself does. */
const METALLIC: ReadonlySet<string> = new Set(['fuse', 'joint', 'connector', 'link', 'isolator', 'button', 'contactor', 'protection']);

/**
 * What every conductor of the + side is in a setting at rest.
 * @param broken  parts that have failed open
 */
export function conductorStates(setting: Setting, situation: Situation, broken: readonly string[]): ConductorLook {
  const { machine } = setting;
  const nodes = nodeStates(setting, situation);
  const places: Record<string, { state: ConductorState; volts_V: number }> = {};
  const conductors: Record<string, readonly ConductorState[]> = {};
  for (const chain of machine.machine.wiring.chains) {
    if (chain.role !== 'supply') continue;
    for (const end of [chain.from, chain.to]) {
      const node = machine.node(pointOf(end));
      if (node !== undefined) places[pointOf(end)] = { state: nodes[node]!, volts_V: setting.rest.voltages[node]! };
    }
    conductors[chain.name] = along(setting, situation, chain, nodes, broken);
  }
  return { conductors, places };
}

function nodeStates(setting: Setting, { present, positions }: Situation): ConductorState[] {
  const { machine, rest } = setting;
  const packs = machine.sources.filter((source, k) => present[k] === 1 && setting.absent[k] === 0 && source.kind !== 'spinning motor' && source.kind !== 'bench lead');
  const live = spread(setting, positions, packs.map(({ plus }) => plus), false);
  const motors = machine.sources.filter((source, k) => present[k] === 1 && source.kind === 'spinning motor').map(({ plus }) => plus);
  const fed = spread(setting, positions, [...live, ...motors], true);
  return machine.network.nodes.map((_, node) => {
    if (live.has(node)) return 'live';
    if (!(Math.abs(rest.voltages[node]!) >= DEAD_V)) return 'dead';
    return fed.has(node) ? 'fed' : 'leaking';
  });
}

/** Nodes that closed ways of the + side lead to: only such as are plain metal, or every one in the direction in which it is meant. */
function spread(setting: Setting, positions: Uint8Array, starts: readonly number[], throughAll: boolean): Set<number> {
  const { machine } = setting;
  const seen = new Set(starts);
  for (const node of seen) {
    machine.strands.forEach((one, s) => {
      if (one.strand.role !== 'supply' || (one.a !== node && one.b !== node) || isOpen(setting, positions, one, s)) return;
      const metal = isMetal(machine, setting, positions, one, s);
      if (!metal && !(throughAll && one.a === node)) return;
      seen.add(one.a === node ? one.b : one.a);
    });
    if (!throughAll) {
      for (const source of machine.sources) if (source.kind === 'pack' && source.minus === node) seen.add(source.plus);
      continue;
    }
    machine.loads.forEach((load, k) => {
      const out = load.plus === node ? machine.node(`${load.part} out`) : undefined;
      if (out !== undefined && (load.starting === undefined || setting.came[k] === STARTED)) seen.add(out);
    });
  }
  return seen;
}

function isOpen(setting: Setting, positions: Uint8Array, { strand }: StrandElements, s: number): boolean {
  const at = (row: number): number => setting.rowOhm[row * setting.width + positions[row]!]!;
  return setting.cut[s] === 1 || strand.switches.some((row) => at(row) === Infinity) || strand.gates.some((row) => at(row) === Infinity);
}

function isMetal(machine: MachineNetwork, setting: Setting, positions: Uint8Array, { strand }: StrandElements, s: number): boolean {
  if (strand.diode !== undefined && setting.roundDiode[s]! > 1) return false;
  if (strand.switches.some((row) => !isDirect(setting, positions, row))) return false;
  return strand.parts.every((id) => id === strand.diode || METALLIC.has(machine.machine.parts.get(id)?.kind ?? ''));
}

/** A position that leads through a resistor is none, unless that resistor has failed short. */
function isDirect(setting: Setting, positions: Uint8Array, row: number): boolean {
  return setting.machine.rows[row]!.positions[positions[row]!]!.through === undefined || setting.rowOhm[row * setting.width + positions[row]!]! < 1e-2;
}

/** From both ends inwards as far as plain metal leads; what lies between an impedance and an opening is what feeds it. */
function along(setting: Setting, { positions }: Situation, chain: Chain, nodes: readonly ConductorState[], broken: readonly string[]): ConductorState[] {
  const { machine } = setting;
  const stateAt = (end: Chain['from']): ConductorState => {
    const node = machine.node(pointOf(end));
    return node === undefined ? 'dead' : nodes[node]!;
  };
  const passes = chain.items.map((item): 'metal' | 'impedance' | 'open' => {
    if ('conductor' in item) return 'metal';
    if (broken.includes(item.part)) return 'open';
    const row = machine.rows.findIndex(({ part }) => part === item.part);
    if (row < 0) return METALLIC.has(machine.machine.parts.get(item.part)?.kind ?? '') ? 'metal' : 'impedance';
    if (setting.rowOhm[row * setting.width + positions[row]!] === Infinity) return 'open';
    return isDirect(setting, positions, row) ? 'metal' : 'impedance';
  });
  const last = chain.items.length;
  const states: (ConductorState | undefined)[] = Array.from({ length: last + 1 }, () => undefined);
  states[0] = stateAt(chain.from);
  states[last] = last === 0 ? states[0] : stateAt(chain.to);
  for (let k = 0; k < last && passes[k] === 'metal'; k++) states[k + 1] ??= states[k];
  for (let k = last - 1; k > 0 && passes[k] === 'metal'; k--) states[k] ??= states[k + 1];
  for (let k = 0; k < last; k++) {
    const before = states[k]!;
    states[k + 1] ??= passes[k] === 'open' ? 'dead' : passes[k] === 'impedance' && before === 'live' ? 'fed' : before;
  }
  return states as ConductorState[];
}
