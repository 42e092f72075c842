import { WIDTH } from '../../engine/network/network.ts';
import { kindOf } from '../parts.ts';
import type { FailureMode } from '../kind.ts';
import type { MachineNetwork, NetworkLoad } from './machine-network.ts';
import { reversals } from './reversible.ts';
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
  /** Loads that it holds off, or that it lets run. */
  readonly loads: readonly number[];
  /** True when it closes a way that a switch would hold open: such a machine has situations of its own. */
  readonly closes: boolean;
}

/** Resistance of a contact or joint that has gone bad, times its own. Common practice, no source. */
const DRIFTED = 10;
/** A resistor that has drifted, times its own. Common practice, no source. */
export const DRIFTED_RESISTOR = 2;
/** An aged pack, or one with a cell that has gone bad: resistance, times its own. Common practice, no source. */
const DRIFTED_PACK = 2.5;
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
    return [{ part: strand.name, mode: 'open', words, change: (m) => (m.cut[s] = 1), strands: [s], nodes: [], loads: [], closes: false }];
  });
  return [...ofParts, ...reversed(machine), ...returns];
}

function failure(machine: MachineNetwork, part: string, kind: string, mode: FailureMode): Failure[] {
  const strands = machine.strands.flatMap(({ strand }, s) => (strand.parts.includes(part) ? [s] : []));
  const make = (change: Change, own: Partial<Failure> = {}): Failure[] => [
    { part, mode, words: `${kind} ${part} ${mode === 'short' ? 'shorted' : mode}`, change, strands, nodes: [], loads: [], closes: false, ...own },
  ];
  const row = machine.rows.findIndex((one) => one.part === part);
  if (row >= 0) return switchFailure(machine, row, mode, make);
  const load = machine.loads.findIndex((one) => one.part === part);
  if (load >= 0) return loadFailure(machine, load, mode, make);
  const source = machine.sources.find((one) => one.part === part && one.kind !== 'spinning motor');
  if (source !== undefined) {
    // What has failed is set before the situation says which sources are there.
    const k = machine.sources.indexOf(source);
    const nodes = [source.plus, source.minus];
    if (mode === 'open') return make((m) => (m.absent[k] = 1), { nodes });
    if (mode === 'drifted') return make((m) => (m.sourceS[k]! /= DRIFTED_PACK), { nodes });
    return [];
  }
  if (kind === 'motor') return motorFailure(machine, part, mode, make);
  if (kind === 'brake resistor') return brakeFailure(machine, part, mode, make);
  const through = machine.rows.flatMap((one, r) => one.positions.flatMap((position, p) => (position.through === part ? [{ r, p }] : [])));
  if (through.length > 0) return throughFailure(machine, through, part, mode, make);
  if (strands.length === 0) return [];
  return strandFailure(machine, strands, part, mode, make);
}

/** What is connected the wrong way round, where that can be done. */
function reversed(machine: MachineNetwork): Failure[] {
  const strands = machine.strands.map(({ strand }) => strand);
  return reversals(machine.machine, strands).flatMap(({ part, reverses, side, strand }): Failure[] => {
    const kind = machine.machine.parts.get(part)!.kind;
    const words = part === reverses ? `${kind} ${part} the wrong way round` : `${kind} ${part} the wrong way round, and so ${reverses}`;
    const common = { part, mode: 'reversed', words, loads: [], closes: true } as const;
    if (side === 'pack') {
      const source = machine.sources.find((one) => one.part === reverses && one.kind === 'pack');
      if (source === undefined) return [];
      const change: Change = (m) => {
        m.numbers[source.element * WIDTH + 1]! *= -1;
        allLegs(machine, m);
      };
      return [{ ...common, change, strands: [strands.indexOf(strand)], nodes: [source.plus, source.minus] }];
    }
    const load = machine.loads.find((one) => one.part === reverses);
    const crossed = load === undefined ? [] : [strands.indexOf(strand), ...returnStrands(machine, load)].filter((s) => machine.strands[s]!.cross !== undefined);
    if (load === undefined || crossed.length < 2) return [];
    const change: Change = (m) => {
      for (const s of crossed) m.crossed[s] = 1;
      allLegs(machine, m);
    };
    return [{ ...common, change, strands: crossed, nodes: [load.plus, load.minus] }];
  });
}

/** Transistors conduct backwards wherever something is fed the wrong way round; a winding between two of them then has no voltage. */
function allLegs(machine: MachineNetwork, m: Parameters<Change>[0]): void {
  machine.sources.forEach(({ kind }, k) => {
    if (kind === 'spinning motor') m.sourceS[k] = 0;
  });
  for (const { legs } of machine.loads) if (legs !== undefined) m.numbers[legs * WIDTH] = 1;
}

/** What a winding does at rest is nothing; at full drive its controller gives nothing, or what it has, or fails with it. */
function motorFailure(machine: MachineNetwork, part: string, mode: FailureMode, make: Make): Failure[] {
  const drives = (id: string): string | undefined => {
    const controller = machine.machine.parts.get(id);
    return controller?.kind === 'controller' ? controller.values.alsoDrives : undefined;
  };
  const k = machine.loads.findIndex((load) => load.motor?.part === part || drives(load.part) === part);
  const load = machine.loads[k];
  if (load === undefined || load.drive === undefined) return [];
  const { drive, shunt, plus, minus } = load;
  const nodes = [plus, minus];
  const spinning = machine.sources.findIndex((source) => source.kind === 'spinning motor' && source.part === (load.motor?.part ?? load.part));
  const beside = load.motor?.part !== undefined && drives(load.part) !== undefined;
  if (mode === 'open')
    return make((m) => {
      // The one beside it still turns, and draws what the limit leaves it.
      if (beside) return;
      m.still[k] = 1;
      m.numbers[drive * WIDTH + 1] = 0;
      m.sourceS[spinning] = 0;
    }, { nodes, words: `winding of ${part} open` });
  if (mode !== 'short') return [];
  const controller = machine.machine.parts.get(load.part);
  const limits = controller?.kind !== 'controller' || controller.values.limitsCurrent !== false;
  return make((m) => {
    m.still[k] = 1;
    m.numbers[drive * WIDTH + 1] = 0;
    // Turning, it only brakes itself.
    m.sourceS[spinning] = 0;
    // A controller that holds its motor current gives that at next to no voltage; any other one is shorted by it.
    if (m.driving && !limits) m.numbers[shunt * WIDTH] = 1 / LOAD_SHORT_OHM;
  }, { nodes, words: `winding of ${part} shorted` });
}

/** Its switch held off, or on. */
function brakeFailure(machine: MachineNetwork, part: string, mode: FailureMode, make: Make): Failure[] {
  const brake = machine.brakes.find((one) => one.part === part);
  if (brake === undefined) return [];
  const { element, plus, minus, closed_S } = brake;
  if (mode === 'open') return make(() => undefined, { words: `brake resistor ${part} open` });
  if (mode === 'short') return make((m) => (m.numbers[element * WIDTH] = closed_S(machine.inputs.nominal())), { nodes: [plus, minus], words: `switch of brake resistor ${part} shorted` });
  return [];
}

type Make = (change: Change, own?: Partial<Failure>) => Failure[];

function switchFailure(machine: MachineNetwork, row: number, mode: FailureMode, make: Make): Failure[] {
  const { positions, part } = machine.rows[row]!;
  // Its own, and those of a contactor whose coil it feeds.
  const strands = machine.strands.flatMap(({ strand }, s) => (strand.switches.includes(row) || strand.gates.includes(row) ? [s] : []));
  const loads = machine.loads.flatMap(({ waits }, k) => (waits.some((one) => one.row === row) ? [k] : []));
  const all = (m: Parameters<Change>[0], ohm: number): void => {
    const width = m.rowOhm.length / machine.rows.length;
    for (let p = 0; p < positions.length; p++) m.rowOhm[row * width + p] = ohm;
  };
  const direct = positions.findLastIndex((position) => position.ohm !== undefined && position.through === undefined);
  const soft = positions.findIndex((position) => position.through !== undefined);
  const at = (m: Parameters<Change>[0], p: number): number => m.rowOhm[row * (m.rowOhm.length / machine.rows.length) + p]!;
  switch (mode) {
    case 'open':
      return make((m) => { all(m, Infinity); }, { strands, loads });
    case 'welded':
    case 'short':
      return make((m) => { all(m, at(m, direct)); }, { strands, loads, closes: true });
    case 'stuck':
      // A switch with a soft start that never leaves it, a button that stays pressed; any other stuck switch is a welded one.
      if (soft < 0 && machine.machine.parts.get(part)?.kind !== 'button') return [];
      return make((m) => { all(m, at(m, soft >= 0 ? soft : direct)); }, { strands, loads, closes: true, words: `${part} stuck ${soft >= 0 ? `on ${positions[soft]!.name}` : 'pressed'}` });
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
    if (mode === 'reversed') return make(each((m, s) => (m.turned[s] = 1)), { words: `${kind} ${part} the wrong way round` });
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
