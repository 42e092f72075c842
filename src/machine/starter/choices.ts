import { CELL_LIMITS, openCircuit_V } from '../../physics/cells.ts';
import { COPPER } from '../../physics/conductors.ts';
import { largestStartResistor } from '../../physics/constant-power.ts';
import { E12, nearestPreferred } from '../../physics/preferred.ts';
import { awgSection_m2 } from '../../quantity/awg.ts';
import { exact } from '../../quantity/quantity.ts';
import { CONTROLLER, CONVERTER, RECEIVER, REGULATOR } from '../parts/loads.ts';
import { PACK } from '../parts/pack.ts';
import { ISOLATOR, LINK } from '../parts/switching.ts';
import { requireFacts, type StarterFacts } from './facts.ts';

/** What is still to be decided once the facts are known. */
export interface StarterChoices {
  readonly softStart: 'none' | 'charge' | 'button';
  readonly fuse_A: number;
  /** Rest voltage of the full pack, V. */
  readonly full_V: number;
  readonly radio: RadioSupply;
  /** What each isolator or link switches, in the order in which they close. */
  readonly branches: readonly Branch[];
  /** First estimate of the largest current into a branch that closes without a soft start, A. */
  readonly closing_A: number;
  /** What nearly every contact of that kind closes on, A. */
  readonly make_A: number;
}

export interface RadioSupply {
  /** A linear regulator inside a controller, or a converter. */
  readonly kind: 'converter' | 'regulator';
  readonly output_V: number;
  /** Where the class default of the start would not suit the pack, V. */
  readonly start_V: number | undefined;
  readonly power_W: number;
  readonly current_A: number;
}

/** Loads behind one isolator or link. */
export interface Branch {
  readonly feeds: 'all' | 'drive' | 'weapon';
  /** Rated currents of its controllers, A. */
  readonly ratings_A: readonly number[];
  /** What its lead carries, A. */
  readonly current_A: number;
  /** Undefined where it has no soft start. */
  readonly softStart: SizedSoftStart | undefined;
}

export interface SizedSoftStart {
  readonly resistance_ohm: number;
  /** Current that the loads draw through it in the end, A. */
  readonly drawn_A: number;
  /** What may be missing of the pack's voltage at the end, V. */
  readonly missing_V: number;
  /** Largest resistance with which every load starts, Ω; Infinity when none is held back. */
  readonly start_ohm: number;
  readonly count_s: number;
}

/** Share of the pack's voltage that may be missing at the end. Common practice, no source: 90 to 95 % charged. */
const MISSING = 0.1;

/** Share of what a contact closes on that the missing voltage may drive, because a first estimate is one. */
const ROOM = 0.5;

/** Common practice, no source: what a crew counts, and the time constants that they wait. */
const LEAST_COUNT_S = 2;
const TIME_CONSTANTS = 5;

/** Common practice, no source: controllers hardly ever pull their ratings at one time. */
const TOGETHER = 0.6;

/** Usual ratings of blade and bolt-in fuses, A. Common practice, no source. */
const FUSES_A = [5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 500] as const;

/**
 * Largest current of a silicone lead in a short match, by its gauge. Common practice, no source; from 6 AWG on the
 * current density of 8 AWG goes on.
 */
const LEADS = [[22, 8], [20, 12], [18, 20], [16, 30], [14, 45], [12, 70], [10, 110], [8, 160], [6, 250], [4, 400], [2, 640]] as const;

/** Nobody has measured a lead yet; common practice, no source. */
export const LEAD_M = 0.4;

/** Charge of one Li-ion round cell, Ah. Common practice, no source. */
const ROUND_CELL_AH = 3;

const RADIO_A = RECEIVER.defaults({}).current.value;

/**
 * Decides what the facts leave open, from class defaults alone: a first guess, which the questions then judge.
 * @throws RangeError when the facts are no machine
 */
export function starterChoices(facts: StarterFacts): StarterChoices {
  requireFacts(facts);
  const full_V = facts.cells * openCircuit_V(facts.chemistry, 1);
  const radio = radioSupply(facts);
  const drives = Array.from({ length: facts.drive.count }, () => facts.drive.rating.value);
  const weapons = facts.weapon === undefined ? [] : [facts.weapon.value];
  const fuse_A = facts.fuse?.value ?? usualFuse(TOGETHER * sum([...drives, ...weapons]));
  const apart = facts.isolators === 'branch' && weapons.length > 0;
  const groups: readonly (readonly [Branch['feeds'], readonly number[]])[] = apart ? [['drive', drives], ['weapon', weapons]] : [['all', [...drives, ...weapons]]];
  const make_A = (facts.isolators === 'links' ? LINK : ISOLATOR).defaults({}).makeCurrent.low;
  const source_ohm = packResistance(facts) + leadResistance(Math.min(fuse_A, sum([...drives, ...weapons])));
  // Links and branches close one after the other, the weapon's last, when the drive's banks are a second source.
  const closed = facts.isolators === 'main' ? [[...drives, ...weapons]] : [drives, weapons].filter((ratings) => ratings.length > 0);
  const sources_ohm = closed.map((_, k) => parallel(source_ohm, ...closed.slice(0, k).map(loadResistance)));
  const closing_A = Math.max(...closed.map((ratings, k) => full_V / (sources_ohm[k]! + loadResistance(ratings))));
  const softStart = facts.softStart !== 'suggest' ? facts.softStart : closing_A < make_A ? 'none' : facts.isolators === 'links' ? 'button' : 'charge';
  const branches = groups.map(([feeds, ratings_A]): Branch => {
    const missing_V = Math.min(MISSING * full_V, ROOM * make_A * (source_ohm + loadResistance(ratings_A)));
    const sized = sizedSoftStart({ full_V, ratings_A, radio: feeds === 'weapon' ? undefined : radio, missing_V });
    return { feeds, ratings_A, current_A: Math.min(sum(ratings_A), fuse_A), softStart: softStart === 'none' ? undefined : sized };
  });
  return { softStart, fuse_A, full_V, radio, branches, closing_A, make_A };
}

/** American wire gauge of a lead for a current, by the trade's table. */
export function leadGauge(current_A: number): number {
  return (LEADS.find(([, most_A]) => current_A <= most_A) ?? LEADS[LEADS.length - 1]!)[0];
}

/** Cells in parallel, where the chemistry comes in round cells of one size. */
export function parallelCells({ chemistry, capacity }: StarterFacts): number | undefined {
  return chemistry === 'nca' || chemistry === 'nmc' ? Math.max(1, Math.round(capacity.value / 3600 / ROUND_CELL_AH)) : undefined;
}

/** The next usual rating of a fuse from a current up, A. */
export function usualFuse(current_A: number): number {
  return FUSES_A.find((rating) => rating >= current_A) ?? FUSES_A[FUSES_A.length - 1]!;
}

function radioSupply({ cells, chemistry, radioSupply: from }: StarterFacts): RadioSupply {
  const { nominal_V, cutoff_V } = CELL_LIMITS[chemistry];
  const linear_V = 5 + REGULATOR.defaults({ output: exact('voltage', 5) }).dropOut.value;
  // A pack too low for a linear regulator has a supply that steps up.
  const kind = from === 'controller' && nominal_V * cells >= linear_V ? 'regulator' : 'converter';
  const output_V = from === 'controller' ? 5 : 6;
  if (kind === 'regulator') return { kind, output_V, start_V: undefined, power_W: 0, current_A: RADIO_A };
  const usual = CONVERTER.defaults({ output: exact('voltage', output_V) });
  const empty_V = cutoff_V * cells;
  // What is bought for a small pack starts below its empty voltage, whatever others do.
  const start_V = empty_V > 1.05 * usual.start.value ? undefined : Number((0.8 * empty_V).toPrecision(2));
  return { kind, output_V, start_V, power_W: (RADIO_A * output_V) / usual.efficiency.value, current_A: 0 };
}

function packResistance(facts: StarterFacts): number {
  const { cellResistance } = PACK.defaults({ chemistry: facts.chemistry, cells: exact('count', facts.cells), capacity: facts.capacity });
  return (facts.cells * cellResistance.value) / (parallelCells(facts) ?? 1);
}

/** Banks of controllers side by side, each behind its lead. */
function loadResistance(ratings_A: readonly number[]): number {
  return parallel(...ratings_A.map((rating_A) => controller(rating_A).seriesResistance.value + leadResistance(rating_A)));
}

/** A lead, out and back. */
function leadResistance(current_A: number): number {
  return (2 * LEAD_M * COPPER.resistivity20_ohm_m) / awgSection_m2(leadGauge(current_A));
}

function parallel(...resistances: readonly number[]): number {
  return 1 / sum(resistances.map((resistance) => 1 / resistance));
}

interface SoftStartRequest {
  readonly full_V: number;
  readonly ratings_A: readonly number[];
  readonly radio: RadioSupply | undefined;
  /** What may be missing at the end. */
  readonly missing_V: number;
}

function sizedSoftStart({ full_V, ratings_A, radio, missing_V }: SoftStartRequest): SizedSoftStart {
  const controllers = ratings_A.map(controller);
  const standby_A = sum(controllers.map(({ standby }) => standby.value)) + (radio?.current_A ?? 0);
  const drawn_A = standby_A + (radio?.power_W ?? 0) / (full_V - missing_V);
  const start_ohm = radio?.kind === 'converter' ? largestStart(full_V, standby_A, radio) : Infinity;
  const resistance_ohm = nearestPreferred(E12, Math.min(start_ohm, missing_V / drawn_A), 'below');
  const converter = CONVERTER.defaults({ output: exact('voltage', 6) });
  const most_F = sum(controllers.map(({ capacitance }) => capacitance.high)) + converter.electrolytic.high + converter.ceramic.high;
  return { resistance_ohm, drawn_A, missing_V, start_ohm, count_s: Math.max(LEAST_COUNT_S, Math.ceil(TIME_CONSTANTS * resistance_ohm * most_F)) };
}

function largestStart(full_V: number, standby_A: number, { output_V, start_V, power_W }: RadioSupply): number {
  const given = { output: exact('voltage', output_V), ...(start_V === undefined ? {} : { start: exact('voltage', start_V) }) };
  const { start, stop } = CONVERTER.defaults(given);
  return largestStartResistor({ source_V: full_V, power_W, standby_A, start_V: start_V ?? start.value, stop_V: stop.value }).resistance_ohm;
}

function controller(rating_A: number) {
  return CONTROLLER.defaults({ motorCurrent: exact('current', rating_A) });
}

function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}
