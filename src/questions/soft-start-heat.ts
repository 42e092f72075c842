import { resistorLimits, type ResistorLimits } from '../physics/resistor-limits.ts';
import { pulseEnergy } from '../physics/resistors.ts';
import { charge } from './charging.ts';
import { heldTime, resistorHeat_J, type PlacedSoftStart, type Study } from './study.ts';

/** What a soft start's resistor gets, and what it takes. */
export interface Heated {
  readonly softStart: PlacedSoftStart;
  readonly limits: ResistorLimits | undefined;
  readonly resistance_ohm: number;
  readonly held_s: number | undefined;
  readonly energy_J: number;
  /** Energy of a charge in which nothing wakes, J. */
  readonly clean_J: number;
  readonly peak_W: number;
  /** Power in the end when it is held on, W. */
  readonly heldOn: HeldOn;
}

/** A soft start that goes on being held. */
export interface HeldOn {
  readonly power_W: number;
  readonly endless: boolean;
  /** Heat against the time held. */
  readonly time_s: readonly number[];
  readonly heat_J: readonly number[];
}

/** Simulates what a soft start's resistor gets. */
export function heat(base: Study, one: PlacedSoftStart): Heated {
  const { circuit, values, supply_V } = base;
  const resistance_ohm = values[circuit.inputs.at(`${one.resistor}.resistance`)]!;
  const entry = base.nominal.closings.find(({ closing }) => closing.way === one.entry);
  return {
    softStart: one,
    limits: limitsOf(base, one.resistor),
    resistance_ohm,
    held_s: heldTime(one, base.nominal.closings.map((c) => c.closing)),
    energy_J: resistorHeat_J(circuit, one.resistor, base.nominal.run, values),
    clean_J: cleanEnergy_J(base, one),
    peak_W: resistance_ohm * (entry?.measures.peak_A ?? supply_V / resistance_ohm) ** 2,
    heldOn: holdOn(base, one, resistance_ohm),
  };
}

/** What a resistor takes, by its datasheet or its class; undefined while its rated power is not known. */
export function limitsOf({ machine }: Pick<Study, 'machine'>, resistor: string): ResistorLimits | undefined {
  const part = machine.parts.get(resistor);
  if (part?.kind !== 'resistor' || part.values.power === undefined) return undefined;
  const rated_W = part.values.power.value;
  const construction = part.values.construction ?? (rated_W < FILM_BELOW_W ? 'film' : 'cement wirewound');
  return resistorLimits(construction, rated_W, part.values.pulse?.value ?? pulseEnergy(construction, rated_W).low_J);
}

/** Resistors of less power are film resistors unless the file says otherwise. Common practice, no source. */
const FILM_BELOW_W = 3;

/** Heat of a charge in which nothing wakes, J: simulated with every load asleep. */
function cleanEnergy_J(base: Study, one: PlacedSoftStart): number {
  const { circuit } = base;
  const asleep = Float64Array.from(base.values);
  for (const part of base.machine.parts.values())
    for (const field of DRAWN[part.kind] ?? []) if (circuit.inputs.has(`${part.id}.${field}`)) asleep[circuit.inputs.at(`${part.id}.${field}`)] = field === 'start' ? NEVER_V : 0;
  const { run } = charge({ circuit, softStart: one, closed: one.closed, values: asleep, target_V: 0 });
  return resistorHeat_J(circuit, one.resistor, run, asleep);
}

/** Fields of a part that make it draw current when it is awake. */
const DRAWN: Partial<Record<string, readonly string[]>> = {
  controller: ['standby'],
  converter: ['start'],
  regulator: ['idle'],
  receiver: ['current'],
  servo: ['idle'],
};
const NEVER_V = 1e4;

/** What the resistor dissipates when it goes on being held: at rest, or on average over the cycles of a hiccup. */
function holdOn(base: Study, one: PlacedSoftStart, resistance_ohm: number): HeldOn {
  const { circuit, values } = base;
  const charging = charge({ circuit, softStart: one, closed: one.closed, values, target_V: 0, record: { watches: [one.entry.branch.currentWatch], between: 1 } });
  const { run } = charging;
  const { time_s, curves } = run.recording;
  const current = curves[0]!;
  const heat_J = [0];
  for (let k = 1; k < time_s.length; k++) heat_J.push(heat_J[k - 1]! + resistance_ohm * 0.5 * (current[k]! ** 2 + current[k - 1]! ** 2) * (time_s[k]! - time_s[k - 1]!));
  const endless = charging.outcome !== 'settles';
  // A hiccup is followed from its first start to one of the next ones: whole cycles.
  const began_s = run.notes.find(({ what }) => what === `${charging.stuckAt} starts`)?.time;
  const first = charging.outcome === 'hiccups' && began_s !== undefined ? time_s.findIndex((t) => t >= began_s) : -1;
  const power_W = first < 0 ? resistance_ohm * current.at(-1)! ** 2 : (heat_J.at(-1)! - heat_J[first]!) / (time_s.at(-1)! - time_s[first]!);
  return { power_W, endless, time_s, heat_J };
}
