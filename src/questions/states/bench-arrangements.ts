import { WIDTH } from '../../engine/network/network.ts';
import { filamentCold_ohm, filamentCurrent_A, FILAMENT_RATIO, type FilamentLamp } from '../../physics/lamp.ts';
import type { Changeable } from '../../machine/network/situation.ts';
import { Intended } from '../../machine/network/intended.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { poweredUp, procedureStates } from './procedure-states.ts';
import type { Situation } from '../../machine/network/situation.ts';

/** A way to feed the controllers while they are programmed. */
export interface Arrangement {
  readonly id: 'soft start' | 'bench supply' | 'series lamp';
  /** `the soft start alone (S1 closed)`. */
  readonly words: string;
  readonly situation: Situation;
  /** Puts the arrangement in the packs' place. */
  readonly feed: (machine: Changeable) => void;
  /** What differs for the first instant, before it warms: a cold lamp. */
  readonly atFirst: (machine: Changeable) => void;
  /** Resistor that heats meanwhile. */
  readonly resistor: string | undefined;
  /** Loads that it feeds, where it does not feed all. */
  readonly behind: readonly number[] | undefined;
}

/** Current limit that a bench supply is set to, A. Common practice, no source: 1 to 3 A. */
export const SUPPLY_A = 2;
/** Bulbs that people have. */
const BULB_V = 12;
const BULB_W = 24;

/** The ways to program that a machine has: its own soft starts, and those that any bench has. */
export function arrangements(network: MachineNetwork): Arrangement[] {
  const own = softStarts(network);
  const whole = poweredUp(network);
  const packs = network.sources.filter((source) => source.kind === 'pack');
  const values = network.inputs.nominal();
  const volts = Math.max(0, ...packs.map((pack) => pack.voltage(values)));
  const bulbs = Math.max(1, Math.ceil(volts / (1.2 * BULB_V)));
  const lamp: FilamentLamp = { rated_V: BULB_V * bulbs, rated_W: BULB_W * bulbs, ratio: FILAMENT_RATIO };
  const inSeries = (ohm: number) => (machine: Changeable): void => {
    for (const pack of packs) machine.numbers[pack.element * WIDTH] = 1 / (1 / pack.present(values) + ohm);
  };
  const supply = (machine: Changeable): void => {
    packs.forEach((pack, k) => {
      machine.absent[network.sources.indexOf(pack)] = 1;
      if (pack.inItsPlace !== undefined && k === 0) machine.numbers.set([1, pack.voltage(values), SUPPLY_A], pack.inItsPlace * WIDTH);
    });
  };
  if (packs.length === 0) return own;
  return [
    ...own,
    { id: 'bench supply', words: `a bench supply in the pack’s place, limited to ${SUPPLY_A} A`, situation: whole, feed: supply, atFirst: supply, resistor: undefined, behind: undefined },
    {
      id: 'series lamp',
      words: `a lamp in series with the pack (${bulbs === 1 ? 'one bulb' : `${bulbs} bulbs in a row`} of ${BULB_V} V ${BULB_W} W)`,
      situation: whole,
      feed: inSeries(asResistor_ohm(lamp, volts)),
      atFirst: inSeries(filamentCold_ohm(lamp)),
      resistor: undefined,
      behind: undefined,
    },
  ];
}

/**
 * Resistor that lets as much power through at most as a lamp does, Ω. A lamp that takes less than its voltage is dimmer
 * and lets more through than its label says: R = V²/4P with P the most of (V − v)·I(v) over the voltage v across it.
 */
function asResistor_ohm(lamp: FilamentLamp, supply_V: number): number {
  let most_W = 0;
  for (let k = 1; k < LAMP_POINTS; k++) {
    const across_V = (supply_V * k) / LAMP_POINTS;
    most_W = Math.max(most_W, (supply_V - across_V) * filamentCurrent_A(lamp, across_V));
  }
  return most_W > 0 ? supply_V ** 2 / (4 * most_W) : filamentCold_ohm(lamp);
}

/** Voltages across a lamp that are tried: the maximum is flat, so that these find it within a thousandth. */
const LAMP_POINTS = 60;

/** Each soft start on its own: the first state as written in which its resistor carries, with every switch open again that it does not need. */
function softStarts(network: MachineNetwork): Arrangement[] {
  const intended = new Intended(network);
  const found: Arrangement[] = [];
  for (const state of procedureStates(network)) {
    if (state.slip) continue;
    const carrying = carries(network, state.situation);
    if (carrying === undefined || found.some((one) => one.resistor === carrying.resistor)) continue;
    const positions = state.situation.positions.slice();
    const fedWith = (): Uint8Array => intended.fed({ positions, present: state.situation.present });
    const before = fedWith();
    const kept = positions.slice();
    for (const row of carrying.rows) positions[row] = 0;
    const without = fedWith();
    positions.set(kept);
    const behind = [...before].flatMap((fed, k) => (fed === 1 && without[k] === 0 ? [k] : []));
    if (behind.length === 0) continue;
    for (let row = 0; row < positions.length; row++) {
      const at = positions[row]!;
      positions[row] = 0;
      const now = fedWith();
      if (!behind.every((k) => now[k] === 1)) positions[row] = at;
    }
    found.push({ id: 'soft start', words: `the soft start alone (${carrying.words})`, situation: { ...state.situation, positions }, feed: nothing, atFirst: nothing, resistor: carrying.resistor, behind });
  }
  return found;
}

function nothing(): void {
  // The machine's own packs feed it.
}

/** The resistor of a closed way that has no closed direct way beside it. */
function carries(network: MachineNetwork, { positions }: Situation): { readonly resistor: string; readonly rows: readonly number[]; readonly words: string } | undefined {
  const closed = (row: number): boolean => network.rows[row]!.positions[positions[row]!]!.ohm !== undefined;
  const direct = (s: number): boolean => {
    const { strand } = network.strands[s]!;
    return strand.switches.every(closed) && strand.items.every((item) => network.machine.parts.get(item.part ?? '')?.kind !== 'resistor') && strand.switches.every((row) => network.rows[row]!.positions[positions[row]!]!.through === undefined);
  };
  for (let s = 0; s < network.strands.length; s++) {
    const { strand, a, b } = network.strands[s]!;
    if (strand.switches.length === 0 || !strand.switches.every(closed)) continue;
    const led = strand.switches.map((row) => network.rows[row]!.positions[positions[row]!]!.through).find((one) => one !== undefined);
    const inline = strand.items.find((item) => network.machine.parts.get(item.part ?? '')?.kind === 'resistor')?.part;
    const resistor = led ?? inline;
    if (resistor === undefined) continue;
    const bridged = network.strands.some((other, o) => o !== s && ((other.a === a && other.b === b) || (other.a === b && other.b === a)) && direct(o));
    if (bridged) continue;
    const words = strand.switches.map((row) => `${network.rows[row]!.part} ${network.rows[row]!.positions[positions[row]!]!.name}`).join(', ');
    return { resistor, rows: strand.switches, words };
  }
  return undefined;
}
