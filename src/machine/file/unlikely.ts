import { formatValue } from '../../quantity/format.ts';
import { parseQuantity } from '../../quantity/parse.ts';
import type { Quantity } from '../../quantity/quantity.ts';
import { quoted } from '../../quantity/scan.ts';
import type { Conductor } from '../machine.ts';
import type { ReadChain } from './chain.ts';
import type { Issues, Place } from './issue.ts';
import { isQuantity, type KnownPart } from './part-list.ts';
import type { ReadWiring } from './wiring.ts';

type Known = ReadonlyMap<string, KnownPart>;

/** Asks back where values that are possible one by one do not go together. */
export function checkTogether(known: Known, wiring: ReadWiring, mass: Quantity | undefined, issues: Issues): void {
  if (mass !== undefined) {
    checkPackMass(known, mass, issues);
    for (const chain of wiring.chains) checkLengths(chain, mass, issues);
  }
  if (wiring.whole) checkVoltage(known, wiring, issues);
  for (const chain of wiring.chains) checkSections(chain, known, issues);
}

interface Written {
  readonly quantity: Quantity;
  readonly at: Place;
}

function written(part: KnownPart, property: string): Written | undefined {
  const found = part.values.get(property);
  return found !== undefined && isQuantity(found.value) ? { quantity: found.value, at: found.at } : undefined;
}

/** No pack holds more than 300 Wh/kg, at a nominal 3.7 V per cell (3.2 V for lfp). Common practice, no source. */
const BEST_J_per_kg = 300 * 3600;
/** The pack is at most this share of a machine, if it were as light as the best. Common practice, no source. */
const PACK_SHARE = 0.2;

/** `8 Ah in a 1.4 kg machine?` */
function checkPackMass(known: Known, mass: Quantity, issues: Issues): void {
  for (const part of known.values()) {
    const [cells, capacity] = [written(part, 'cells'), written(part, 'capacity')];
    if (part.kind?.kind !== 'pack' || cells === undefined || capacity === undefined) continue;
    const energy_J = cells.quantity.value * (part.values.get('chemistry')?.value === 'lfp' ? 3.2 : 3.7) * capacity.quantity.value;
    const least_kg = energy_J / BEST_J_per_kg;
    // A pack that is out of its own range has been asked about already.
    if (!(least_kg > PACK_SHARE * mass.value) || capacity.quantity.value > 720_000) continue;
    issues.question(capacity.at, { part: part.id, field: 'capacity' }, `a pack that fits a machine of ${quoted(mass.text)}`,
      `${quoted(capacity.quantity.text)} in ${cells.quantity.value} cells, which weighs ${formatValue(least_kg, 'mass', 2)} at the very least`, 'mAh typed as Ah, or another mass?');
  }
}

/** Longest lead in a machine of 1 kg, m; longer ones grow as the machine does. Common practice, no source. */
const LONGEST_M_AT_1KG = 0.6;

function checkLengths({ chain, about, itemsAt, at }: ReadChain, mass: Quantity, issues: Issues): void {
  // Leads to the bench and between receiver and controllers go where they like.
  if (chain.role === 'signal ground') return;
  const longest_m = LONGEST_M_AT_1KG * Math.cbrt(mass.value);
  chain.items.forEach((item, k) => {
    if (!('conductor' in item) || !(item.conductor.length.value > longest_m) || item.conductor.length.value > 5) return;
    issues.question(itemsAt[k] ?? at, about, `a lead that fits a machine of ${quoted(mass.text)}, up to ${formatValue(longest_m, 'length', 2)}`, quoted(item.conductor.length.text),
      'the length of a lead is one way, not out and back');
  });
}

/** Copper warms by 12 K a second with this, A/m²: no insulation lasts. */
const GLOWING_A_m2 = 50e6;
/** Nobody carries copper for so little current, A/m². Common practice, no source. */
const IDLE_A_m2 = 2.5e6;
/** What builders choose a lead for, A/m². Common practice, no source. */
const USUAL_A_m2 = [2.5e6, 35e6] as const;

/** The wire against the currents that are stated on its way: a gauge written as square millimetres, or the other way. */
function checkSections({ chain, about, itemsAt, at }: ReadChain, known: Known, issues: Issues): void {
  const currents = [...chain.items.flatMap((item) => ('part' in item ? [item.part] : [])), ...('part' in chain.to ? [chain.to.part] : [])]
    .flatMap((id) => currentOf(known.get(id), known));
  const most = currents.sort((a, b) => b.current_A - a.current_A)[0];
  if (most === undefined) return;
  chain.items.forEach((item, k) => {
    if (!('conductor' in item)) return;
    const { section } = item.conductor;
    const density = most.current_A / section.value;
    const meant = swappedUnit(item.conductor, most.current_A);
    if (!(density > GLOWING_A_m2) && !(density < IDLE_A_m2 && meant !== undefined)) return;
    issues.question(itemsAt[k] ?? at, about, `a conductor for the ${quoted(most.quantity.text)} of ${most.id}`, quoted(section.text), meant === undefined ? undefined : `did you mean "${meant}"?`);
  });
}

interface StatedCurrent {
  readonly id: string;
  readonly quantity: Quantity;
  readonly current_A: number;
}

/**
 * What a part lets through or takes for long, where the file says it, A. A load takes no more for long than the largest
 * fuse lets through, and a fuse that is larger than all loads together tells nothing.
 */
function currentOf(part: KnownPart | undefined, known: Known): StatedCurrent[] {
  const of = (kind: string): number[] => [...known.values()].filter((one) => one.kind?.kind === kind).flatMap(statedCurrent).map(({ quantity }) => quantity.value);
  const [fuses, loads] = [of('fuse'), of('controller')];
  const stated = statedCurrent(part);
  if (part?.kind?.kind === 'fuse') return stated.filter(({ current_A }) => current_A <= loads.reduce((sum, one) => sum + one, 0));
  return stated.map((one) => ({ ...one, current_A: Math.min(one.current_A, ...(fuses.length === 0 ? [] : [Math.max(...fuses)])) }));
}

function statedCurrent(part: KnownPart | undefined): StatedCurrent[] {
  if (part?.kind === undefined) return [];
  const properties: Readonly<Record<string, string>> = { controller: part.values.has('batteryCurrent') ? 'batteryCurrent' : 'motorCurrent', fuse: 'rating', converter: 'outputCurrent' };
  const found = written(part, properties[part.kind.kind] ?? '');
  return found === undefined ? [] : [{ id: part.id, quantity: found.quantity, current_A: found.quantity.value }];
}

/** The same number with the other unit of wire, where a builder would have chosen that for this current. */
function swappedUnit({ section }: Conductor, current_A: number): string | undefined {
  const number = /\d+(?:\.\d+)?/.exec(section.text)?.[0];
  const other = number === undefined ? undefined : /AWG|awg/.test(section.text) ? `${number} mm²` : `${number} AWG`;
  const parsed = other === undefined ? undefined : parseQuantity(other, 'area');
  if (other === undefined || parsed?.ok !== true) return undefined;
  const density = current_A / parsed.quantity.value;
  return density >= USUAL_A_m2[0] && density <= USUAL_A_m2[1] ? other : undefined;
}

/** How far above what every load bears a pack has to stand before its cells are asked about. */
const BEYOND = 1.2;

/** A pack of 12 cells for loads that bear 30 V, or of 2 for loads that start at 20 V: 2S and 12S are easily mistaken. */
function checkVoltage(known: Known, { chains }: ReadWiring, issues: Issues): void {
  const packs = [...known.values()].filter(({ kind }) => kind?.kind === 'pack');
  const stacked = chains.some(({ chain: { from, to } }) => 'part' in to && to.terminal === '-' && 'part' in from && packs.some(({ id }) => id === from.part));
  if (stacked) return;
  const loads = [...known.values()].filter(({ kind }) => kind?.kind === 'controller' || kind?.kind === 'converter');
  const bears = loads.flatMap((load) => written(load, load.kind?.kind === 'controller' ? 'absoluteVoltage' : 'inputMaximum') ?? []);
  const starts = loads.flatMap((load) => {
    const start = written(load, load.kind?.kind === 'controller' ? 'logicStart' : 'start');
    return start === undefined ? [] : [{ id: load.id, start_V: start.quantity.value }];
  });
  const [least] = starts.sort((a, b) => a.start_V - b.start_V);
  for (const pack of packs) {
    const cells = written(pack, 'cells');
    if (cells === undefined) continue;
    const perCell_V = written(pack, 'fullVoltage')?.quantity.value ?? (pack.values.get('chemistry')?.value === 'lfp' ? 3.6 : 4.2);
    const full_V = cells.quantity.value * perCell_V;
    const shown = `${quoted(cells.quantity.text)}, ${formatValue(full_V, 'voltage', 3)} when full`;
    const about = { part: pack.id, field: 'cells' };
    const hint = 'a 2S label read as 12S, or the other way: count the cells, or see how they are wired';
    const most_V = Math.max(...bears.map(({ quantity }) => quantity.value));
    if (bears.length > 0 && full_V > BEYOND * most_V) issues.question(cells.at, about, `cells that the loads bear: none is given for more than ${formatValue(most_V, 'voltage', 3)}`, shown, hint);
    else if (least !== undefined && full_V < least.start_V) issues.question(cells.at, about, `cells that wake ${least.id}, which starts at ${formatValue(least.start_V, 'voltage', 3)}`, shown, hint);
  }
}
