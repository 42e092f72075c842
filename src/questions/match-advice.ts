import { formatValue } from '../quantity/format.ts';
import { nearestPreferred, E12 } from '../physics/preferred.ts';
import { gaugeName, nearestGauge } from '../quantity/awg.ts';
import { canRegauge, type Change } from '../machine/edit.ts';
import type { Answer } from './answer.ts';
import type { Candidate } from './candidate.ts';
import type { Study } from './study.ts';
import { called } from './words.ts';

/** Shares of the limits that are tried: a gentle step, a hard one, and one that hardly drives. */
const LOWER = [0.75, 0.5, 0.3] as const;
/** Packs one and two sizes up. */
const BIGGER = [1.25, 1.6] as const;

/** Lower limits of the battery current, and more capacitance before the converter. */
export function radioCandidates(base: Study): Candidate[] {
  return [...limitCandidates(base, 'batteryCurrent', 'battery-current limits'), ...holdUpCandidates(base)];
}

/** Lower limits of the battery current, and a bigger pack. */
export function packCandidates(base: Study, answer: Answer): Candidate[] {
  const packs = [...base.machine.parts.values()].filter((part) => part.kind === 'pack');
  const worst = answer.items.some((item) => !item.slip && item.verdict !== 'good' && item.verdict !== 'cannot tell');
  if (!worst || packs.length === 0) return [];
  const bigger = BIGGER.map((times): Candidate => ({
    ladder: 'capacity',
    what: `${packs.map(({ id, values }) => `${formatValue(times * values.capacity.value, 'charge', 2)} instead of ${formatValue(values.capacity.value, 'charge')} for ${id}`).join(', ')}`,
    free: false,
    changes: packs.map(({ id, values }) => ({ change: 'field', part: id, property: 'capacity', text: formatValue(times * values.capacity.value, 'charge', 2) })),
    caution: 'A stated cell resistance is left as it is; a bigger pack of the same cells has less, and weighs more.',
  }));
  return [...limitCandidates(base, 'batteryCurrent', 'battery-current limits'), ...bigger];
}

/** The next gauges for a cable that is too warm, a lower motor current for a winding or a controller. */
export function heatCandidates(base: Study, answer: Answer): Candidate[] {
  const hot = answer.items.filter((item) => !item.slip && (item.verdict === 'bad' || item.verdict === 'marginal'));
  const parts = new Set(hot.flatMap((item) => item.parts));
  const controllers = [...base.machine.parts.values()].filter((part) => part.kind === 'controller' && (parts.has(part.id) || [part.values.drives, part.values.alsoDrives].some((id) => id !== undefined && parts.has(id))));
  const cables = hot.flatMap((item) => item.parts.filter((part) => CONDUCTOR.test(part)));
  const over = Math.max(1, ...hot.map(({ figure, limit, parts: [first = ''] }) => (CONDUCTOR.test(first) && figure !== undefined && limit !== undefined ? (figure.value - AIR_C) / Math.max(1, limit - AIR_C) : 1)));
  return [...limitCandidates(base, 'motorCurrent', 'motor-current limits', controllers.map(({ id }) => id)), ...gaugeCandidates(base, cables, over)];
}

/** A conductor among an item's parts: `drive#1`. */
const CONDUCTOR = /#\d+$/;
/** Only for guessing a gauge, which is re-run. */
const AIR_C = 30;
/** Rise goes about as the section to the power −3/2: resistance, and a little surface. */
const RISE_POWER = 1.5;
/** Section from one gauge to the next: 92^(2/39). */
const GAUGE_STEP = 92 ** (2 / 39);

function limitCandidates(base: Study, property: 'batteryCurrent' | 'motorCurrent', name: string, only?: readonly string[]): Candidate[] {
  const controllers = [...base.machine.parts.values()].flatMap((part) => {
    if (part.kind !== 'controller' || (only !== undefined && !only.includes(part.id))) return [];
    const limit_A = part.values[property]?.value;
    return limit_A === undefined ? [] : [{ id: part.id, limit_A }];
  });
  if (controllers.length === 0) return [];
  return LOWER.map((share): Candidate => ({
    what: `${name} lowered to ${controllers.map(({ id, limit_A }) => `${formatValue(share * limit_A, 'current', 2)} at ${id}`).join(', ')}`,
    free: true,
    ladder: property,
    changes: controllers.map(({ id, limit_A }): Change => ({ change: 'field', part: id, property, text: formatValue(share * limit_A, 'current', 2) })),
    caution: 'The machine pushes and spins up less hard; settings are lost when a controller is replaced.',
  }));
}

/** Ten times the capacitors at the input of every converter: they bridge short dips only where a diode keeps them from feeding the bus. */
function holdUpCandidates(base: Study): Candidate[] {
  return [...base.machine.parts.values()].flatMap((part): Candidate[] => {
    if (part.kind !== 'converter') return [];
    const own_F = part.values.electrolytic?.value;
    if (own_F === undefined || !(own_F > 0)) return [];
    const text = formatValue(nearestPreferred(E12, 10 * own_F, 'nearest'), 'capacitance', 2);
    return [
      {
        what: `electrolytic capacitor of ${text} at the input of ${called(base.circuit, part.id)}`,
        free: false,
        changes: [{ change: 'field', part: part.id, property: 'electrolytic', text }],
        caution: 'It charges with the soft start: look at hold again. Behind a diode of its own it helps far more.',
      },
    ];
  });
}

/** The next gauge that shops keep (two numbers down) for conductors `chain#k`, and the one that a rise so many times too high asks for. */
function gaugeCandidates(base: Study, wheres: readonly string[], over: number): Candidate[] {
  const needed = 2 * Math.ceil(Math.log(1.2 * over) / RISE_POWER / Math.log(GAUGE_STEP) / 2);
  return [...new Set([2, Math.max(4, needed)])].flatMap((numbers): Candidate[] => {
    const changes = wheres.flatMap((where) => {
      const [, name, k] = /^(.*)#(\d+)$/.exec(where) ?? [];
      const chain = base.machine.wiring.chains.find((one) => one.name === name && one.role === 'supply');
      const item = chain?.items[Number(k)];
      if (chain === undefined || item === undefined || !('conductor' in item) || !canRegauge(chain, Number(k))) return [];
      const gauge = nearestGauge(item.conductor.section.value);
      if (gauge === undefined || gauge - numbers < -3) return [];
      return [{ name: chain.name, gauge: gaugeName(gauge - numbers), change: { change: 'gauge' as const, chain: chain.name, item: Number(k), text: gaugeName(gauge - numbers) } }];
    });
    if (changes.length === 0) return [];
    return [{ ladder: 'gauge', what: changes.map(({ name, gauge }) => `${gauge} for the lead ${name}`).join(', '), free: false, changes: changes.map(({ change }) => change), caution: base.machine.wiring.bar === undefined ? 'Its return lead carries the same current: it needs the same gauge.' : 'The return lead beside it gets the same gauge.' }];
  });
}
