import type { Automaton } from '../../src/engine/automaton.ts';
import { addBranch, closeContact, openContact, type BranchHandle } from '../../src/engine/devices/branch.ts';
import { addCapacitor } from '../../src/engine/devices/capacitor.ts';
import { addDiode } from '../../src/engine/devices/diode.ts';
import { addConstantPower, addStandby } from '../../src/engine/devices/load.ts';
import { addResistor } from '../../src/engine/devices/resistor.ts';
import { addSource } from '../../src/engine/devices/source.ts';
import { compile, type Model } from '../../src/engine/model.ts';
import type { ScheduledAction } from '../../src/engine/simulate.ts';
import { laidOut, type CircuitNode, type SystemBuilder } from '../../src/engine/system.ts';
import { sampler } from '../../src/quantity/random.ts';

export interface RandomCircuit {
  readonly model: Model;
  readonly automata: readonly Automaton[];
  readonly script: readonly ScheduledAction[];
  readonly end_s: number;
  /** One line a device, for a failing seed. */
  readonly devices: readonly string[];
}

/** Draws from one seed's stream. */
class Dice {
  private readonly next: () => number;

  constructor(seed: number) {
    this.next = sampler(20261125, seed);
  }

  between(low: number, high: number): number {
    return low + this.next() * (high - low);
  }

  /** Spread evenly over decades. */
  decades(low: number, high: number): number {
    return low * (high / low) ** this.next();
  }

  whole(low: number, high: number): number {
    return Math.min(high, Math.floor(this.between(low, high + 1)));
  }

  chance(share: number): boolean {
    return this.next() < share;
  }

  pick<T>(items: readonly T[]): T {
    return items[this.whole(0, items.length - 1)]!;
  }
}

type Kind = 'resistor' | 'capacitor' | 'diode' | 'branch' | 'standby' | 'power' | 'source';
const KINDS: readonly Kind[] = ['resistor', 'resistor', 'capacitor', 'capacitor', 'diode', 'branch', 'branch', 'branch', 'standby', 'power', 'source'];

/** A circuit of 2 to 12 nodes besides the reference, wired at random from the engine's devices, with random switching; laid out as a machine's is. */
export function randomCircuit(seed: number, kernel: 'generated' | 'interpreted' | 'best' = 'best'): RandomCircuit {
  const { system, ...found } = laidOut((builder) => wireAtRandom(builder, new Dice(seed)));
  return { model: compile(system, kernel), ...found };
}

function wireAtRandom(b: SystemBuilder, dice: Dice) {
  const nodes = Array.from({ length: dice.whole(2, 12) }, (_, k) => b.node(`n${k + 1}`));
  const end_s = dice.decades(2e-3, 0.5);
  const automata: Automaton[] = [];
  const script: ScheduledAction[] = [];
  const devices: string[] = [];
  const add = (kind: Kind, from: CircuitNode, to: CircuitNode): void => {
    const name = `${kind} ${devices.length + 1}`;
    const about = addDevice(b, dice, kind, name, from, to, { automata, script, end_s });
    devices.push(`${name} ${from.name} ${to.name} ${about}`);
  };
  add('source', nodes[0]!, b.reference);
  // A tree first, so that no node is left alone; then as many again wherever it falls.
  for (let k = 1; k < nodes.length; k++) add(dice.pick(KINDS.slice(0, 8)), dice.pick([b.reference, ...nodes.slice(0, k)]), nodes[k]!);
  for (let k = dice.whole(1, nodes.length + 2); k > 0; k--) {
    const kind = dice.pick(KINDS);
    const one = dice.pick(nodes);
    const grounded = kind === 'source' || kind === 'standby' || kind === 'power' || dice.chance(0.3);
    const other = grounded ? b.reference : dice.pick(nodes);
    if (one !== other) add(kind, one, other);
  }
  return { system: b.finish(1e-2), automata, script, end_s, devices };
}

interface Timeline {
  readonly automata: Automaton[];
  readonly script: ScheduledAction[];
  readonly end_s: number;
}

function addDevice(b: SystemBuilder, dice: Dice, kind: Kind, name: string, from: CircuitNode, to: CircuitNode, timeline: Timeline): string {
  switch (kind) {
    case 'source': {
      const [voltage_V, resistance_ohm] = [dice.between(5, 60), dice.chance(0.7) ? dice.decades(5e-3, 1) : dice.decades(1, 100)];
      addSource(b, name, from, to, voltage_V, resistance_ohm);
      return `${voltage_V} V ${resistance_ohm} Ω`;
    }
    case 'resistor': {
      const resistance_ohm = dice.decades(1e-3, 1e4);
      addResistor(b, name, from, to, resistance_ohm, dice.chance(0.5) ? { heatScale_J: 1e-2 } : {});
      return `${resistance_ohm} Ω`;
    }
    case 'capacitor': {
      const [capacitance_F, series_ohm, initial_V] = [dice.decades(1e-6, 1e-2), dice.decades(1e-3, 1), dice.chance(0.5) ? 0 : dice.between(0, 40)];
      addCapacitor(b, name, from, to, capacitance_F, series_ohm, initial_V);
      return `${capacitance_F} F ${series_ohm} Ω at ${initial_V} V`;
    }
    case 'diode': {
      const law = { saturation_A: dice.decades(1e-12, 1e-6), slope_V: dice.between(0.025, 0.05), series_ohm: dice.decades(1e-3, 0.1) };
      addDiode(b, name, from, to, law, { damped: true });
      return `Is ${law.saturation_A} A nVt ${law.slope_V} V ${law.series_ohm} Ω`;
    }
    case 'standby': {
      const [current_A, threshold_V] = [dice.decades(1e-3, 1), dice.between(3, 20)];
      addStandby(b, name, from, to, current_A, threshold_V);
      return `${current_A} A above ${threshold_V} V`;
    }
    case 'power': {
      // With the bank that such a load has: without one, starting would pull its own voltage down at once and for ever.
      const capacitance_F = dice.decades(2e-4, 5e-3);
      addCapacitor(b, `${name} bank`, from, to, capacitance_F, dice.decades(1e-3, 1e-2));
      const start_V = dice.between(6, 20);
      const load = { power_W: dice.decades(1, 100), start_V, stop_V: start_V - dice.between(1, 3) };
      timeline.automata.push(addConstantPower(b, name, from, to, load).automaton);
      return `${load.power_W} W, ${start_V} to ${load.stop_V} V, ${capacitance_F} F`;
    }
    case 'branch': {
      const resistance_ohm = dice.decades(1e-3, 1);
      const inductance_H = dice.decades(1e-7, 1e-4);
      const law = (): Parameters<typeof addBranch>[4]['contacts'][number]['law'] => ({
        closed_ohm: dice.decades(1e-4, 1e-2),
        forceRise_s: dice.chance(0.3) ? 0 : dice.decades(1e-4, 5e-3),
        melting_V: 0.4,
        arc_V: dice.between(11, 14),
        arc_A: dice.between(0.3, 0.6),
      });
      const contacts = Array.from({ length: dice.whole(0, 2) }, (_, k) => ({ name: `${name} contact ${k + 1}`, law: law(), closedAtStart: dice.chance(0.5) }));
      const branch = addBranch(b, name, from, to, { resistance_ohm, inductance_H, contacts });
      timeline.automata.push(...branch.automata);
      branch.contacts.forEach((_, k) => switchAtRandom(dice, branch, k, timeline));
      return `${resistance_ohm} Ω ${inductance_H} H ${contacts.map((c) => `${c.law.forceRise_s} s ${c.closedAtStart ? 'closed' : 'open'}`).join(', ')}`;
    }
  }
}

function switchAtRandom(dice: Dice, branch: BranchHandle, at: number, timeline: Timeline): void {
  const contact = branch.contacts[at]!;
  for (let k = dice.whole(0, 4); k > 0; k--) {
    const time = dice.between(0, timeline.end_s);
    const bounces = Array.from({ length: dice.whole(0, 3) }, () => ({ after_s: dice.decades(5e-5, 1e-3), open_s: dice.decades(2e-5, 5e-4) }));
    if (dice.chance(0.6)) timeline.script.push({ time, action: (run) => closeContact(run, branch, contact, bounces) });
    else timeline.script.push({ time, action: (run) => openContact(run, branch, contact) });
  }
}
