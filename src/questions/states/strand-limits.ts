import { permissibleLetThrough_A2s } from '../../physics/adiabatic.ts';
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
}

/** Temperature at which a lead's insulation is spoilt, °C: the short-circuit limit of PVC (IEC 60364-4-43, Table 43A). */
const SPOILT_C = 160;
/** Longest time for which heat has no time to leave a lead, s. */
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
  const ambient = value('surroundings.inside') ?? 25;
  network.strands.forEach(({ strand }, s) => {
    const amps = Math.abs(current(s));
    for (const item of strand.items) {
      if (item.section !== undefined) {
        const mm2 = item.section(values) * 1e6;
        const fast = permissibleLetThrough_A2s(mm2, ambient, SPOILT_C) / amps ** 2;
        if (fast <= ADIABATIC_S) found.push({ part: strand.name, words: item.words, guard: false, current_A: amps, within_s: fast });
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
