import { permissibleLetThrough_A2s } from '../../physics/adiabatic.ts';
import { SPOILT_C } from '../../physics/cable-limit.ts';
import { onderdonkTime_s } from '../../physics/fusing.ts';
import { timeToHarm_s, type ResistorLimits } from '../../physics/resistor-limits.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';

/** What a current does to a part on its way. */
export interface Strain {
  readonly part: string;
  /** In words: `lead of drive`, `fuse F1`. */
  readonly words: string;
  /** Opens the circuit: a fuse, a protection. */
  readonly guard: boolean;
  readonly current_A: number;
  /** Time until it is harmed, or has opened, s. */
  readonly within_s: number;
  /** Time until the metal of a lead melts by Onderdonk's equation, s; undefined beyond what the equation is good for. */
  readonly melts_s?: number | undefined;
}

/** Longest time for which heat has no time to leave a lead, s: both formulas err on the hot side beyond. */
const ADIABATIC_S = 5;
/** A lead that carries more than this for long gets too hot in minutes, A/mm². Common practice, no source. */
const LASTING_A_MM2 = 20;
const MINUTES_S = 120;
/** A fuse melts as its let-through says from about three times its rating on; up to one and a third it holds for hours. */
const FUSE_FAST = 3;
const FUSE_HOLDS = 1.35;
/** Between those a fuse takes its time, s. Common practice, no source. */
const FUSE_SLOW_S = 30;

/**
 * What the currents of a state of rest do to leads, fuses, protections and resistors, the fastest first. Times are those
 * of a steady current; a lead's errs short, because it takes the metal to keep all its heat.
 */
export function strains(network: MachineNetwork, current: (strand: number) => number, through: (resistor: string) => number, values: Float64Array, limitsOf: (resistor: string) => ResistorLimits | undefined): Strain[] {
  const { inputs } = network;
  const value = (key: string): number | undefined => (inputs.has(key) ? values[inputs.at(key)] : undefined);
  const found: Strain[] = [];
  // In air as hot as that a lead has no time left at all: what is said stays a time.
  const ambient = Math.min(value('surroundings.inside') ?? 25, SPOILT_C - 20);
  network.strands.forEach(({ strand }, s) => {
    const amps = Math.abs(current(s));
    for (const item of strand.items) {
      if (item.section !== undefined) {
        const mm2 = item.section(values) * 1e6;
        const fast = permissibleLetThrough_A2s(mm2, ambient, SPOILT_C) / amps ** 2;
        if (fast <= ADIABATIC_S) found.push({ part: strand.name, words: item.words, guard: false, current_A: amps, within_s: fast, melts_s: meltsAfter_s(item.section(values), amps, ambient) });
        else if (amps > LASTING_A_MM2 * mm2) found.push({ part: strand.name, words: item.words, guard: false, current_A: amps, within_s: MINUTES_S });
      }
      if (item.part === undefined) continue;
      const kind = network.machine.parts.get(item.part)?.kind;
      if (kind === 'fuse') {
        const rating = value(`${item.part}.rating`)!;
        if (amps > FUSE_HOLDS * rating) found.push({ part: item.part, words: item.words, guard: true, current_A: amps, within_s: amps > FUSE_FAST * rating ? value(`${item.part}.melting`)! / amps ** 2 : FUSE_SLOW_S });
      } else if (kind === 'protection') {
        if (amps > value(`${item.part}.shortCurrent`)!) found.push({ part: item.part, words: item.words, guard: true, current_A: amps, within_s: value(`${item.part}.shortDelay`)! });
        else if (amps > value(`${item.part}.overCurrent`)!) found.push({ part: item.part, words: item.words, guard: true, current_A: amps, within_s: value(`${item.part}.overDelay`)! });
      }
    }
  });
  for (const part of network.machine.parts.values()) {
    if (part.kind !== 'resistor') continue;
    const limits = limitsOf(part.id);
    const power = through(part.id);
    if (limits === undefined || !(power > limits.rated_W)) continue;
    found.push({ part: part.id, words: `resistor ${part.id}`, guard: false, current_A: Math.sqrt(power / value(`${part.id}.resistance`)!), within_s: timeToHarm_s(limits, power) });
  }
  return found.sort((a, b) => a.within_s - b.within_s);
}

/** Time until a lead melts at a current, s; undefined where it would take longer than the formula is good for. */
function meltsAfter_s(section_m2: number, current_A: number, ambient_C: number): number | undefined {
  const time = onderdonkTime_s(section_m2, current_A, ambient_C);
  return time <= ADIABATIC_S ? time : undefined;
}
