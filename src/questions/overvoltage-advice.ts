import { formatValue } from '../quantity/format.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { diodeBefore } from './overvoltage-match.ts';
import { dampingFor, voltageLimit } from './overvoltage.ts';
import type { Study } from './study.ts';
import { called, say } from './words.ts';

/** A damping capacitor has at least four times what rings, so that its own reactance does not count. Common practice, no source. */
const TIMES = 4;
/** Electrolytic capacitors that shops keep, F. */
const SIZES_F = [22e-6, 47e-6, 100e-6, 220e-6, 470e-6, 1000e-6] as const;

/** A brake resistor stays off on a full pack. Common practice, no source. */
const ABOVE_PACK = 1.08;
/** Brake resistors that are tried, from one that takes little to one that takes a lot, Ω. */
const BRAKES_OHM = [10, 4.7, 2.2, 1] as const;
/** Shares of the regeneration limits that are tried. */
const LOWER = [0.75, 0.5, 0.3] as const;
/** Charges to start with that are tried on a pack that braking lifts above full. */
const LESS_FULL = [0.95, 0.9, 0.85] as const;

/** What could keep voltages down: damping where something rings, a way for what motors give back, less that is given back. */
export function overvoltageCandidates(base: Study, answer: Answer): Candidate[] {
  return [...dampingCandidates(base, answer), ...wayBackCandidates(base, answer), ...lessBackCandidates(base, answer)];
}

/** A controller that a diode keeps from giving back to the pack: without the diode, or with a brake resistor of its own. */
function wayBackCandidates(base: Study, answer: Answer): Candidate[] {
  const { machine, circuit, supply_V } = base;
  return lifted(answer).flatMap((part): Candidate[] => {
    const diode = diodeBefore(base, part);
    if (machine.parts.get(part)?.kind !== 'controller' || diode === undefined) return [];
    const name = called(circuit, part);
    const on_V = Math.ceil(ABOVE_PACK * supply_V);
    const free = Array.from({ length: 99 }, (_, k) => `R${k + 1}`).find((id) => !machine.parts.has(id));
    const taken = machine.wiring.chains.some((chain) => chain.name === BRAKE_CHAIN);
    return [
      {
        what: `${called(circuit, diode)} taken out of the way to ${name}`,
        free: true,
        changes: [{ change: 'take out', id: diode }],
        caution: 'What it was there to keep apart is joined: look at isolation and opening again. The pack has to take what comes back.',
      },
      ...(free === undefined || taken || !(on_V < (voltageLimit(circuit, part) ?? Infinity))
        ? []
        : BRAKES_OHM.map((resistance_ohm): Candidate => ({
            ladder: `brake ${part}`,
            what: `a brake resistor ${free} of ${formatValue(resistance_ohm, 'resistance')} at ${name}, switched on at ${on_V} V`,
            free: false,
            changes: [{ change: 'part', id: free, kind: 'brake resistor', values: { resistance: formatValue(resistance_ohm, 'resistance'), on: `${on_V} V` }, chain: BRAKE_CHAIN, from: { part, terminal: '+' } }],
            caution: `It takes ${say(on_V ** 2 / resistance_ohm, 'power')} while it is on: choose its rating by what is braked.`,
          }))),
    ];
  });
}

/** Lower limits of what controllers give back; for cells above full also a pack that starts with less in it. */
function lessBackCandidates(base: Study, answer: Answer): Candidate[] {
  const parts = [...base.machine.parts.values()];
  const controllers = parts.flatMap((part) => (part.kind === 'controller' && part.values.regeneration !== undefined && part.values.regeneration.value > 0 ? [{ id: part.id, limit_A: part.values.regeneration.value }] : []));
  const found = lifted(answer);
  const packs = parts.flatMap((part) => (part.kind === 'pack' && found.includes(part.id) ? [{ id: part.id, charge: part.values.charge?.value ?? 1 }] : []));
  const lower = controllers.length === 0 || found.length === 0 ? [] : LOWER.map((share): Candidate => ({
    ladder: 'regeneration',
    what: `regeneration limits lowered to ${controllers.map(({ id, limit_A }) => `${formatValue(share * limit_A, 'current', 2)} at ${id}`).join(', ')}`,
    free: true,
    changes: controllers.map(({ id, limit_A }) => ({ change: 'field', part: id, property: 'regeneration', text: formatValue(share * limit_A, 'current', 2) })),
    caution: 'It brakes less hard: what else stops it has to.',
  }));
  const lessFull = packs.length === 0 ? [] : LESS_FULL.filter((share) => packs.every(({ charge }) => share < charge)).map((share): Candidate => ({
    ladder: 'charge',
    what: `starting with ${formatValue(share, 'ratio')} in ${packs.map(({ id }) => id).join(' and ')}`,
    free: true,
    changes: packs.map(({ id }) => ({ change: 'field', part: id, property: 'charge', text: formatValue(share, 'ratio') })),
    caution: undefined,
  }));
  return [...lessFull, ...lower];
}

/** Parts that the match lifts too high. */
function lifted({ items }: Answer): string[] {
  return items.filter(({ slip, verdict, where }) => !slip && (verdict === 'bad' || verdict === 'marginal') && where.endsWith('in the match')).flatMap(({ parts }) => parts.slice(0, 1));
}

const BRAKE_CHAIN = 'brake';

/** An electrolytic capacitor whose own resistance damps what rings, across every converter input that rings too high. */
function dampingCandidates(base: Study, answer: Answer): Candidate[] {
  const ringing = answer.items.filter((item) => !item.slip && item.verdict !== 'good').flatMap((item) => item.parts.slice(0, 1));
  return [...new Set(ringing)].flatMap((part): Candidate[] => {
    if (base.machine.parts.get(part)?.kind !== 'converter') return [];
    const damping = dampingFor(base, part);
    const size_F = damping === undefined ? undefined : SIZES_F.find((size) => size >= TIMES * damping.ringing_F);
    if (damping === undefined || size_F === undefined) return [];
    const resistance = formatValue(damping.resistance_ohm, 'resistance', 2);
    return [
      {
        what: `electrolytic capacitor of ${formatValue(size_F, 'capacitance')} with about ${resistance} of its own across the input of ${called(base.circuit, part)}`,
        free: false,
        changes: [
          { change: 'field', part, property: 'electrolytic', text: formatValue(size_F, 'capacitance') },
          { change: 'field', part, property: 'electrolyticResistance', text: resistance },
        ],
        caution: `Its resistance does the work (√(L/C) of ${say(damping.inductance_H, 'inductance')} and ${say(damping.ringing_F, 'capacitance')}): a low-loss one would ring with the rest.`,
      },
    ];
  });
}
