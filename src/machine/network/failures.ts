import { WIDTH } from '../../engine/network/network.ts';
import { kindOf } from '../parts.ts';
import type { FailureMode } from '../kind.ts';
import type { MachineNetwork, NetworkLoad } from './machine-network.ts';
import { SHORT_OHM, type Change } from './situation.ts';

/** One way in which one part fails, as a change to a machine at rest. */
export interface Failure {
  readonly part: string;
  readonly mode: FailureMode;
  /** In words: `fuse F1 open`. */
  readonly words: string;
  readonly change: Change;
  /** Strands that it changes. */
  readonly strands: readonly number[];
  /** Nodes at which it changes something beside strands. */
  readonly nodes: readonly number[];
  /** True when it closes a way that a switch would hold open: such a machine has situations of its own. */
  readonly closes: boolean;
}

/** Resistance of a contact or joint that has gone bad, times its own. Common practice, no source. */
const DRIFTED = 10;
/** A resistor that has drifted, times its own. Common practice, no source. */
export const DRIFTED_RESISTOR = 2;
/** What a leaky diode passes backwards, as a resistance, Ω. Common practice, no source. */
const LEAKY_OHM = 1e3;

/** Every failure mode of every part that changes what flows, in the order of the parts. */
export function failuresOf(machine: MachineNetwork): Failure[] {
  const ofParts = [...machine.machine.parts.values()].flatMap((part) => {
    const modes = kindOf(part.kind)?.failureModes ?? [];
    return modes.flatMap((mode) => failure(machine, part.id, part.kind, mode));
  });
  // Leads and joints of the return side that no load's lost return stands for.
  const covered = new Set(ofParts.filter((one) => one.mode === 'lost return').flatMap((one) => one.strands));
  const returns = machine.strands.flatMap(({ strand }, s): Failure[] => {
    if (strand.role === 'supply' || covered.has(s)) return [];
    const words = strand.role === 'signal ground' ? `signal ground ${strand.name} open` : `negative of ${strand.chain.name} open`;
    return [{ part: strand.name, mode: 'open', words, change: (m) => (m.cut[s] = 1), strands: [s], nodes: [], closes: false }];
  });
  return [...ofParts, ...returns];
}

function failure(machine: MachineNetwork, part: string, kind: string, mode: FailureMode): Failure[] {
  const strands = machine.strands.flatMap(({ strand }, s) => (strand.parts.includes(part) ? [s] : []));
  const make = (change: Change, own: Partial<Failure> = {}): Failure[] => [
    { part, mode, words: `${kind} ${part} ${mode === 'short' ? 'shorted' : mode}`, change, strands, nodes: [], closes: false, ...own },
  ];
  const row = machine.rows.findIndex((one) => one.part === part);
  if (row >= 0) return switchFailure(machine, row, mode, make);
  const load = machine.loads.findIndex((one) => one.part === part);
  if (load >= 0) return loadFailure(machine, load, mode, make);
  const source = machine.sources.find((one) => one.part === part && one.kind !== 'spinning motor');
  if (source !== undefined) {
    // What has failed is set before the situation says which sources are there.
    if (mode === 'open') return make((m) => (m.absent[machine.sources.indexOf(source)] = 1), { nodes: [source.plus, source.minus] });
    return [];
  }
  const through = machine.rows.flatMap((one, r) => one.positions.flatMap((position, p) => (position.through === part ? [{ r, p }] : [])));
  if (through.length > 0) return throughFailure(machine, through, part, mode, make);
  if (strands.length === 0) return [];
  return strandFailure(machine, strands, part, mode, make);
}

type Make = (change: Change, own?: Partial<Failure>) => Failure[];

function switchFailure(machine: MachineNetwork, row: number, mode: FailureMode, make: Make): Failure[] {
  const { positions, part } = machine.rows[row]!;
  // Its own, and those of a contactor whose coil it feeds.
  const strands = machine.strands.flatMap(({ strand }, s) => (strand.switches.includes(row) || strand.gates.includes(row) ? [s] : []));
  const all = (m: Parameters<Change>[0], ohm: number): void => {
    const width = m.rowOhm.length / machine.rows.length;
    for (let p = 0; p < positions.length; p++) m.rowOhm[row * width + p] = ohm;
  };
  const direct = positions.findLastIndex((position) => position.ohm !== undefined && position.through === undefined);
  const soft = positions.findIndex((position) => position.through !== undefined);
  const at = (m: Parameters<Change>[0], p: number): number => m.rowOhm[row * (m.rowOhm.length / machine.rows.length) + p]!;
  switch (mode) {
    case 'open':
      return make((m) => { all(m, Infinity); }, { strands });
    case 'welded':
    case 'short':
      return make((m) => { all(m, at(m, direct)); }, { strands, closes: true });
    case 'stuck':
      // A switch with a soft start that never leaves it, a button that stays pressed; any other stuck switch is a welded one.
      if (soft < 0 && machine.machine.parts.get(part)?.kind !== 'button') return [];
      return make((m) => { all(m, at(m, soft >= 0 ? soft : direct)); }, { strands, closes: true, words: `${part} stuck ${soft >= 0 ? `on ${positions[soft]!.name}` : 'pressed'}` });
    case 'drifted':
      return make((m) => {
        for (let p = 0; p < positions.length; p++) if (positions[p]!.through === undefined) m.rowOhm[row * (m.rowOhm.length / machine.rows.length) + p]! *= DRIFTED;
      }, { strands });
    default:
      return [];
  }
}

/** A resistor that a switch leads through in one of its positions. */
function throughFailure(machine: MachineNetwork, through: readonly { readonly r: number; readonly p: number }[], part: string, mode: FailureMode, make: Make): Failure[] {
  const strands = machine.strands.flatMap(({ strand }, s) => (through.some(({ r }) => strand.switches.includes(r)) ? [s] : []));
  const change = (to: (ohm: number) => number): Change => (m) => {
    const width = m.rowOhm.length / machine.rows.length;
    for (const { r, p } of through) m.rowOhm[r * width + p] = to(m.rowOhm[r * width + p]!);
  };
  if (mode === 'open') return make(change(() => Infinity), { strands });
  if (mode === 'short') return make(change(() => SHORT_OHM), { strands, words: `resistor ${part} shorted` });
  if (mode === 'drifted') return make(change((ohm) => DRIFTED_RESISTOR * ohm), { strands });
  return [];
}

function strandFailure(machine: MachineNetwork, strands: readonly number[], part: string, mode: FailureMode, make: Make): Failure[] {
  const kind = machine.machine.parts.get(part)!.kind;
  const values = machine.inputs.nominal();
  const own = (s: number): number => machine.strands[s]!.strand.items.find((item) => item.part === part)?.ohm(values) ?? 0;
  const each = (set: (m: Parameters<Change>[0], s: number) => void): Change => (m) => {
    for (const s of strands) set(m, s);
  };
  if (mode === 'open') return make(each((m, s) => (m.cut[s] = 1)));
  if (kind === 'diode' || kind === 'ideal diode') {
    if (mode === 'short') return make(each((m, s) => (m.roundDiode[s] = SHORT_OHM)));
    if (mode === 'leaky') return make(each((m, s) => (m.roundDiode[s] = LEAKY_OHM)));
    return [];
  }
  if (mode === 'short') return make(each((m, s) => (m.strandOhm[s] = Math.max(SHORT_OHM, m.strandOhm[s]! - own(s)))));
  if (mode === 'drifted') return make(each((m, s) => (m.strandOhm[s]! += ((kind === 'resistor' ? DRIFTED_RESISTOR : DRIFTED) - 1) * own(s))));
  return [];
}

function loadFailure(machine: MachineNetwork, k: number, mode: FailureMode, make: Make): Failure[] {
  const load = machine.loads[k]!;
  const nodes = [load.plus, load.minus];
  switch (mode) {
    case 'open':
      return make((m) => {
        for (const element of load.draws) m.numbers[element * WIDTH] = 0;
        // What it would draw at full drive: whether it is asked for is said later.
        if (load.drive !== undefined) m.numbers[load.drive * WIDTH + 1] = 0;
        m.dead[k] = 1;
      }, { nodes });
    case 'short':
      // A lamp that has failed short still has its resistor.
      if (load.kind === 'lamp') return make((m) => (m.numbers[load.draws[0]! * WIDTH + 2] = 0), { nodes });
      if (load.kind === 'regulator') {
        // Its transistor fails closed: the output follows the input.
        const pass = machine.passes.find((one) => one.part === load.part && !one.backwards)!;
        return make((m) => m.numbers.set([1, ANY_V, 0], pass.element * WIDTH), { nodes: [pass.a, pass.b] });
      }
      return make((m) => (m.numbers[load.shunt * WIDTH] = 1 / LOAD_SHORT_OHM), { nodes });
    case 'lost return': {
      const lost = returnStrands(machine, load);
      if (lost.length === 0) return [];
      return make((m) => {
        for (const s of lost) m.cut[s] = 1;
      }, { strands: lost, words: `return of ${load.part} lost` });
    }
    default:
      return [];
  }
}

/** A set voltage that no input reaches, V. */
const ANY_V = 1e4;

/** What a shorted load is, Ω: failed transistors and their tracks. Common practice, no source. */
const LOAD_SHORT_OHM = 5e-3;

/** Return leads, signal grounds aside, that carry a load's negative. */
export function returnStrands(machine: MachineNetwork, load: NetworkLoad): number[] {
  return machine.strands.flatMap(({ strand }, s) => (strand.role === 'return' && strand.from === `${load.part}-` ? [s] : []));
}
