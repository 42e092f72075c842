import type { Change } from '../machine/edit.ts';
import { pointOf } from '../machine/circuit/nets.ts';
import type { Candidate } from './candidate.ts';
import { bridgePaths } from './states/bridges.ts';
import type { Study } from './study.ts';
import { called } from './words.ts';

/** Rated current of a blocking diode in a soft start, A: one of the sizes that stand its currents and are easy to get. Common practice, no source. */
const DIODE_A = 3;

/** A diode in every chain that a bridge runs through backwards; the red wire out of every supply that it comes back through. */
export function isolationCandidates(base: Study): Candidate[] {
  const { machine } = base;
  const bridges = bridgePaths(base.bridges());
  // A chain of the main current wants no diode: it would cost volts and braking. One with a resistor beside it does not care.
  const against = [...new Set(bridges.flatMap((bridge) => bridge.against))].filter((name) => !carriesMain(base, name));
  const alike = machine.wiring.chains.filter((chain) => chain.role === 'supply' && against.some((name) => pointOf(machine.wiring.chains.find((one) => one.name === name)!.from) === pointOf(chain.from)) && !carriesMain(base, chain.name)).map((chain) => chain.name);
  const supplies = [...new Set(bridges.flatMap((bridge) => bridge.backwards))].filter((part) => machine.parts.get(part)?.kind === 'regulator');
  const diodes = alike.length === 0 ? [] : [{
    what: `blocking diode of ${DIODE_A} A in ${alike.map((name) => `“${name}”`).join(' and ')}`,
    free: false,
    changes: alike.map((chain, k): Change => ({ change: 'insert', chain, before: 0, id: freeName(base, 'D', k), kind: 'diode', values: { rating: `${DIODE_A} A` } })),
    caution: 'The soft start then ends a diode’s drop lower, and one that fails short brings the bridge back without a sign: try it with a meter now and then.',
  }];
  const wires = supplies.flatMap((part): Candidate[] => {
    const chain = machine.wiring.chains.find((one) => one.role === 'supply' && pointOf(one.from) === `${part} out`);
    return chain === undefined ? [] : [{
      what: `red wire out of ${called(base.circuit, part)} (“${chain.name}”)`,
      free: true,
      changes: [{ change: 'unwire', chain: chain.name }],
      caution: 'Only the + wire: signal and negative stay. The radio then lives on the other supplies alone.',
    }];
  });
  return [...wires, ...diodes];
}

/** Whether motor current runs through a chain: it leads to a controller without a resistor, or to a place that does. */
function carriesMain({ machine }: Study, name: string): boolean {
  const chain = machine.wiring.chains.find((one) => one.name === name);
  if (chain === undefined) return true;
  const source = pointOf(chain.from);
  const feeding = machine.wiring.chains.filter((one) => one.role === 'supply' && pointOf(one.to) === source);
  const resistive = (items: (typeof chain)['items']): boolean => items.some((item) => 'part' in item && machine.parts.get(item.part)?.kind === 'resistor');
  return !resistive(chain.items) && !feeding.some((one) => resistive(one.items));
}

function freeName({ machine }: Study, letter: string, k: number): string {
  let number = 1;
  let left = k;
  for (;;) {
    const id = `${letter}${number}`;
    if (!machine.parts.has(id) && left-- === 0) return id;
    number++;
  }
}
