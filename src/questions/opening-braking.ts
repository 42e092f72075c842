import { E12, nearestPreferred } from '../physics/preferred.ts';
import { formatValue } from '../quantity/format.ts';
import type { Answer, Item } from './answer.ts';
import type { Candidate } from './candidate.ts';
import type { DriveOpening } from './opening-drive.ts';
import { voltageLimit } from './overvoltage.ts';
import type { FaultCurrents } from './states/fault-currents.ts';
import type { Study } from './study.ts';
import { called, figure, say } from './words.ts';

/** What is cut off together from every pack when something opens while motors brake. */
interface Island {
  readonly parts: readonly string[];
  readonly diode: boolean;
  readonly loads: readonly string[];
}

/** No crew acts within that, s. */
const NOBODY_S = 0.2;

/** Braking current with nowhere to go: what opens leaves it to the banks, whose voltage runs up. One item an island. */
export function brakingItems(base: Study, faults: FaultCurrents, drives: readonly DriveOpening[]): Item[] {
  const islands = new Map<string, Island>();
  for (const { part, broken } of drives) {
    const loads = broken.dark.map((k) => faults.network.loads[k]!.part).filter((id) => base.machine.parts.has(id));
    const known = islands.get(loads.join());
    islands.set(loads.join(), { parts: [...(known?.parts ?? []), part.id], diode: (known?.diode ?? false) || part.kind === 'diode' || part.kind === 'ideal diode', loads });
  }
  return [...islands.values()].flatMap((island) => islandItem(base, faults, island));
}

function islandItem(base: Study, faults: FaultCurrents, { parts, diode, loads }: Island): Item[] {
  const { machine, circuit, supply_V } = base;
  const braking = loads.flatMap((id) => {
    const part = machine.parts.get(id);
    return part?.kind === 'controller' && part.values.regeneration !== undefined && part.values.regeneration.value > 0 ? [part] : [];
  });
  if (braking.length === 0) return [];
  const back_A = braking.reduce((sum, part) => sum + part.values.regeneration!.value, 0);
  const behind_F = loads.reduce((sum, id) => sum + (faults.network.loads.find(({ part }) => part === id)?.bank?.(faults.values) ?? 0), 0);
  const limits = loads.flatMap((id) => {
    const limit_V = voltageLimit(circuit, id);
    return limit_V === undefined ? [] : [{ id, limit_V }];
  });
  const lowest = [...limits].sort((a, b) => a.limit_V - b.limit_V)[0];
  const names = parts.map((id) => called(circuit, id)).join(', ').replace(/, (?=[^,]*$)/, ' or ');
  const shared = { where: `${names} ${diode ? 'while braking: it lets nothing back' : 'opens while braking'}`, passes: undefined, slip: false };
  const rate = behind_F > 0 ? back_A / behind_F : Infinity;
  const runs = `${say(back_A, 'current')} of braking ${behind_F > 0 ? `take the ${say(behind_F, 'capacitance')} behind it up by ${say(rate / 1000, 'voltage')} in each millisecond` : 'find no capacitor behind it'}`;
  const cut = new Set(faults.strandsOf(parts[0]!));
  const brake = [...machine.parts.values()].find(
    (part) => part.kind === 'brake resistor' && part.values.on.value / part.values.resistance.value >= back_A && faults.isCutOff(part.id, cut),
  );
  const stops = braking.map((part) => part.values.tripVoltage?.value);
  const trip_V = brake?.kind === 'brake resistor' ? brake.values.on.value : stops.every((one) => one !== undefined) ? Math.max(...stops) : undefined;
  const ends = brake === undefined ? 'where the controllers stop themselves' : `which ${called(circuit, brake.id)} holds`;
  if (lowest === undefined)
    return [{ ...shared, verdict: 'cannot tell', measure: 'a millisecond', figure: figure(behind_F > 0 ? rate / 1000 : 0, 'V', 'voltage', []), limit: undefined, margin: undefined, parts: [...parts, braking[0]!.id], says: `${runs}, and what they bear is not given.` }];
  if (trip_V !== undefined)
    return [{
      ...shared, verdict: trip_V <= lowest.limit_V ? 'good' : 'bad', measure: 'reached', figure: figure(trip_V, 'V', 'voltage', []), limit: lowest.limit_V, margin: lowest.limit_V - trip_V, parts: [...parts, lowest.id],
      says: `${runs}, to ${say(trip_V, 'voltage')}, ${ends}; ${called(circuit, lowest.id)} bears ${say(lowest.limit_V, 'voltage')}.`,
    }];
  const until_s = behind_F > 0 ? Math.max(0, ((lowest.limit_V - supply_V) * behind_F) / back_A) : 0;
  return [{
    ...shared, verdict: until_s < NOBODY_S ? 'bad' : 'marginal', measure: 'until too much voltage', figure: figure(until_s, 's', 'time', []), limit: undefined, margin: undefined, parts: [...parts, lowest.id],
    says: `${runs}: from ${say(supply_V, 'voltage', 3)} to the ${say(lowest.limit_V, 'voltage')} that ${called(circuit, lowest.id)} bears in ${say(until_s, 'time')}, and nothing stops it.`,
  }];
}

/** A brake resistor for what no pack takes: switched on a little above the full pack, and small enough for all that comes back. */
export function brakeCandidates(base: Study, answer: Answer): Candidate[] {
  const { machine, circuit, supply_V } = base;
  const wrong = answer.items.filter((item) => item.verdict === 'bad' && item.where.includes('while braking'));
  const braking = [...machine.parts.values()].flatMap((part) => (part.kind === 'controller' && part.values.regeneration !== undefined && part.values.regeneration.value > 0 ? [part] : []));
  const first = braking[0];
  if (wrong.length === 0 || first === undefined) return [];
  const back_A = braking.reduce((sum, part) => sum + part.values.regeneration!.value, 0);
  const on_V = Math.ceil(ABOVE_PACK * supply_V);
  const lowest_V = Math.min(...[...machine.parts.keys()].map((id) => voltageLimit(circuit, id) ?? Infinity));
  const resistance_ohm = nearestPreferred(E12, on_V / back_A, 'below');
  const id = Array.from({ length: 99 }, (_, k) => `R${k + 1}`).find((one) => !machine.parts.has(one));
  if (!(on_V < lowest_V) || id === undefined || machine.wiring.chains.some(({ name }) => name === 'brake')) return [];
  return [
    {
      what: `a brake resistor ${id} of ${formatValue(resistance_ohm, 'resistance')} at ${called(circuit, first.id)}, switched on at ${on_V} V`,
      free: false,
      changes: [{ change: 'part', id, kind: 'brake resistor', values: { resistance: formatValue(resistance_ohm, 'resistance'), on: `${on_V} V` }, chain: 'brake', from: { part: first.id, terminal: '+' } }],
      caution: `It takes ${say(on_V ** 2 / resistance_ohm, 'power')} while it is on: choose its pulse rating by the energy of one stop. Less regeneration, or none, costs nothing.`,
    },
  ];
}

/** A brake resistor stays off on a full pack. Common practice, no source. */
const ABOVE_PACK = 1.08;
