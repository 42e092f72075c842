import type { End } from '../machine/machine.ts';
import { bleedPower_W, bleedResistor_ohm } from '../physics/capacitors.ts';
import { E12, nearestPreferred } from '../physics/preferred.ts';
import { formatValue } from '../quantity/format.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import { charge } from './charging.ts';
import type { Study } from './study.ts';
import { SAFE_V, type BankGroup } from './switch-off.ts';
import { called, say } from './words.ts';

/** A bleed brings its banks down from the full pack in this time, s: half of what a crew waits. */
const BLED_WITHIN_S = 30;
/** Resistors that stay on are used at half their rating, in these sizes. Common practice, no source. */
const SIZES_W = [0.25, 0.5, 1, 2, 3, 5, 7, 10] as const;

interface Bleed {
  readonly id: string;
  readonly group: BankGroup;
  readonly resistance_ohm: number;
  readonly rated_W: number;
  readonly power_W: number;
}

/** A bleed resistor across every group of banks that nothing reliable drains. */
export function dischargeCandidates(base: Study, answer: Answer): Candidate[] {
  // A return of its own would have to be drawn where the negatives do not meet on one bar.
  if (base.machine.wiring.bar === undefined) return [];
  const wanted = base.groups.filter((group) => answer.items.some((item) => !item.slip && item.verdict !== 'good' && group.banks.some((bank) => item.parts.includes(bank.part))));
  const first = freeNumber(base);
  const bleeds = wanted.flatMap((group, k): Bleed[] => {
    const capacitance = group.banks.reduce((sum, bank) => sum + bank.capacitance(base.values), 0);
    const most_ohm = bleedResistor_ohm(capacitance, base.supply_V, SAFE_V, BLED_WITHIN_S);
    if (!Number.isFinite(most_ohm)) return [];
    const resistance_ohm = nearestPreferred(E12, most_ohm, 'below');
    const power_W = bleedPower_W(base.supply_V, resistance_ohm);
    const rated_W = SIZES_W.find((size) => size >= 2 * power_W);
    return rated_W === undefined ? [] : [{ id: `R${first + k}`, group, resistance_ohm, rated_W, power_W }];
  });
  if (bleeds.length === 0) return [];
  return [
    {
      what: bleeds.map(({ id, group, resistance_ohm, rated_W }) => `bleed ${id} of ${formatValue(resistance_ohm, 'resistance')}, ${formatValue(rated_W, 'power')}, across ${group.name}`).join('; '),
      free: false,
      changes: bleeds.map(({ id, group, resistance_ohm, rated_W }) => ({
        change: 'part' as const,
        id,
        kind: 'bleed',
        values: { resistance: formatValue(resistance_ohm, 'resistance'), power: formatValue(rated_W, 'power') },
        chain: chainName(base, id),
        from: endOf(group),
      })),
      caution: `${bleeds.map(({ id, power_W }) => `${id} takes ${say(power_W, 'power')} all the time`).join(', ')}: keep it off what melts.`,
      beside: (changed) => besideSoftStarts(base, changed),
    },
  ];
}

/** What the bleeds take from the soft starts. */
function besideSoftStarts(base: Study, changed: Study): string | undefined {
  const said = base.softStarts.flatMap((before) => {
    const after = changed.softStarts.find((other) => other.name === before.name);
    if (after === undefined) return [];
    const [was, is] = [{ study: base, one: before }, { study: changed, one: after }].map(({ study, one }) => charge({ circuit: study.circuit, softStart: one, closed: one.closed, values: study.values, target_V: 0 }));
    if (was!.outcome !== 'settles') return [`the soft start at ${called(base.circuit, before.entryPart)} ${is!.outcome === 'settles' ? 'finishes now' : 'hangs as before'}`];
    if (is!.outcome !== 'settles') return [`the soft start at ${called(base.circuit, before.entryPart)} hangs with it`];
    return [`the soft start at ${called(base.circuit, before.entryPart)} ends ${say(is!.residual_V, 'voltage', 3)} short instead of ${say(was!.residual_V, 'voltage', 3)}`];
  });
  return said.length === 0 ? undefined : `With it ${said.join(', and ')}.`;
}

function endOf(group: BankGroup): End {
  return group.place === undefined ? { part: group.banks[0]!.part, terminal: '+' } : { place: group.place };
}

function freeNumber(base: Study): number {
  const taken = [...base.machine.parts.keys()].map((id) => Number(/^R(\d+)$/.exec(id)?.[1] ?? 0));
  return Math.max(0, ...taken) + 1;
}

function chainName(base: Study, id: string): string {
  const taken = new Set(base.machine.wiring.chains.map((chain) => chain.name));
  let name = `bleed ${id}`;
  while (taken.has(name)) name += ' new';
  return name;
}
