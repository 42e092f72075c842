import { cableLump, SPOILT_C } from '../../physics/cable-limit.ts';
import { onderdonkTime_s } from '../../physics/fusing.ts';
import { jouleTime_s, type HeatedLump } from '../../physics/joule.ts';
import { timeToHarm_s, type ResistorLimits } from '../../physics/resistor-limits.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { isGuard, openingTime, type GuardPart } from '../guard-times.ts';

/** What a current does to a part on its way. */
export interface Strain {
  readonly part: string;
  /** In words: `lead of drive`, `fuse F1`. */
  readonly words: string;
  /** Opens the circuit: a fuse, a protection. */
  readonly guard: boolean;
  readonly current_A: number;
  /** Time until it is harmed, or has surely opened, s. */
  readonly within_s: number;
  /** Time until the metal of a lead melts by Onderdonk's equation, s; undefined beyond what the equation is good for. */
  readonly melts_s?: number | undefined;
}

/** Longer than this no current of a fault flows unnoticed, s: a match. Common practice, no source. */
const MATCH_S = 180;
/** Longest time for which Onderdonk's equation holds, s. */
const ONDERDONK_S = 5;

interface Limited {
  readonly strand: number;
  readonly part: string;
  readonly words: string;
  readonly lead: { readonly section_m2: number; readonly lump: HeatedLump } | undefined;
  readonly guard: GuardPart | undefined;
}

/**
 * What the currents of a state of rest do to leads, fuses, protections and resistors. Times are those of a steady current,
 * a lead's from the temperature of the air around it, a guard's the latest of its spread.
 */
export class StrandLimits {
  private readonly limited: readonly Limited[];
  private readonly resistors: readonly { readonly id: string; readonly ohm: number; readonly limits: ResistorLimits }[];
  private readonly brakes: readonly { readonly id: string; readonly ohm: number; readonly lump: HeatedBrake }[];
  private readonly ambient_C: number;

  constructor(network: MachineNetwork, values: Float64Array, limitsOf: (resistor: string) => ResistorLimits | undefined) {
    const { inputs, machine } = network;
    // In air as hot as that a lead has no time left at all: what is said stays a time.
    this.ambient_C = Math.min(values[inputs.at('surroundings.inside')]!, SPOILT_C - 20);
    this.limited = network.strands.flatMap(({ strand }, s) =>
      strand.items.flatMap((item): Limited[] => {
        const part = machine.parts.get(item.part ?? '');
        const section_m2 = item.section?.(values);
        const lead = section_m2 === undefined ? undefined : { section_m2, lump: cableLump(section_m2 * 1e6, this.ambient_C) };
        const guard = isGuard(part) ? part : undefined;
        return lead === undefined && guard === undefined ? [] : [{ strand: s, part: item.part ?? strand.name, words: item.words, lead, guard }];
      }),
    );
    this.resistors = [...machine.parts.values()].flatMap((part) => {
      const limits = part.kind === 'resistor' ? limitsOf(part.id) : undefined;
      return limits === undefined ? [] : [{ id: part.id, ohm: values[inputs.at(`${part.id}.resistance`)]!, limits }];
    });
    this.brakes = [...machine.parts.values()].flatMap((part) => {
      if (part.kind !== 'brake resistor') return [];
      const { limitTemperature, thermalResistance, heatCapacity } = part.values;
      if (limitTemperature === undefined || thermalResistance === undefined || heatCapacity === undefined) return [];
      return [{ id: part.id, ohm: values[inputs.at(`${part.id}.resistance`)]!, lump: { rise_K: limitTemperature.value - this.ambient_C, rise_K_W: thermalResistance.value, capacity_J_K: heatCapacity.value } }];
    });
  }

  /**
   * @param current  of each strand, A
   * @param power  heat in a resistor, W
   * @param braking  heat in a brake resistor, W
   * @returns the fastest first
   */
  strains(current: (strand: number) => number, power: (resistor: string) => number, braking: (resistor: string) => number): Strain[] {
    const found: Strain[] = [];
    for (const { strand, part, words, lead, guard } of this.limited) {
      const amps = Math.abs(current(strand));
      if (lead !== undefined) {
        const within_s = jouleTime_s(lead.lump, this.ambient_C, SPOILT_C, amps);
        if (within_s <= MATCH_S) found.push({ part, words, guard: false, current_A: amps, within_s, melts_s: meltsAfter_s(lead.section_m2, amps, this.ambient_C) });
      } else if (guard !== undefined && amps > guard.values.rating.value) {
        const within_s = openingTime(guard, amps).latest_s;
        if (within_s < Infinity) found.push({ part, words, guard: true, current_A: amps, within_s });
      }
    }
    for (const { id, ohm, limits } of this.resistors) {
      const watts = power(id);
      if (watts > limits.rated_W) found.push({ part: id, words: `resistor ${id}`, guard: false, current_A: Math.sqrt(watts / ohm), within_s: timeToHarm_s(limits, watts) });
    }
    for (const { id, ohm, lump } of this.brakes) {
      const watts = braking(id);
      const within_s = brakeTime_s(lump, watts);
      if (within_s <= MATCH_S) found.push({ part: id, words: `brake resistor ${id}`, guard: false, current_A: Math.sqrt(watts / ohm), within_s });
    }
    return found.sort((a, b) => a.within_s - b.within_s);
  }
}

/** A brake resistor as one lump, from the air around it. */
interface HeatedBrake {
  readonly rise_K: number;
  readonly rise_K_W: number;
  readonly capacity_J_K: number;
}

/** Time until a steady power brings a lump to its limit, s; infinite where it never does. */
function brakeTime_s({ rise_K, rise_K_W, capacity_J_K }: HeatedBrake, power_W: number): number {
  const end_K = power_W * rise_K_W;
  return end_K > rise_K ? -rise_K_W * capacity_J_K * Math.log1p(-rise_K / end_K) : Infinity;
}

/** Time until a lead melts at a current, s; undefined where it would take longer than the formula is good for. */
function meltsAfter_s(section_m2: number, current_A: number, ambient_C: number): number | undefined {
  const time = onderdonkTime_s(section_m2, current_A, ambient_C);
  return time <= ONDERDONK_S ? time : undefined;
}
