import type { MatchRecord, PackRecord } from '../machine/match/record.ts';
import type { Pack } from '../machine/parts/pack.ts';
import { CELL_LIMITS } from '../physics/cells.ts';
import type { Item, Verdict } from './answer.ts';
import { moment } from './match-study.ts';
import type { Study } from './study.ts';
import { called, figure, middleNinety, say, shareOf } from './words.ts';

/** Circuits that guard lithium cells let go between 0.05 and 0.15 V above full. Common practice, no source. */
const ABOVE_FULL_V = 0.15;
/** A cell this far above full is spoilt by it. Common practice, no source. */
const FAR_ABOVE_V = 0.3;
const ENOUGH = 0.95;

/** What braking motors give back lifts the cells of a full pack above full: one item for every pack that gets current back. */
export function overchargeInMatch(base: Study, fights: readonly MatchRecord[]): Item[] {
  const fought = base.fought();
  if (fought.status !== 'fought') return [];
  return fought.fight.record.packs.flatMap((one, k): Item[] => {
    const part = base.machine.parts.get(one.part);
    return part?.kind !== 'pack' || !(one.returned.value > 0) ? [] : [itemOf(base, part, one, fights.map((fight) => fight.packs[k]!))];
  });
}

/** Voltage of a full cell, V: the file's where that is more than the chemistry's usual one (cells of the high-voltage kind). */
function fullCell_V({ values }: Pack): number {
  return Math.max(CELL_LIMITS[values.chemistry].full_V, (values.fullVoltage?.value ?? 0) / values.cells.value);
}

function itemOf(base: Study, part: Pack, { cellHighest, returned }: PackRecord, samples: readonly PackRecord[]): Item {
  const full_V = fullCell_V(part);
  const limit = full_V + ABOVE_FULL_V;
  const passes = shareOf(samples, (sample) => sample.cellHighest.value <= limit);
  const own: Verdict = cellHighest.value <= limit ? 'good' : cellHighest.value <= full_V + FAR_ABOVE_V ? 'marginal' : 'bad';
  const why = own === 'good' ? '' : ' Braking on a full pack over-charges it: start the way down with less in it, or give less back.';
  return {
    where: `cells of ${called(base.circuit, part.id)} in the match`,
    verdict: own === 'good' && passes !== undefined && passes < ENOUGH ? 'marginal' : own,
    measure: 'of a mean cell, at the highest',
    figure: figure(cellHighest.value, 'V', 'voltage', middleNinety(samples.map((sample) => sample.cellHighest.value))),
    limit,
    margin: limit - cellHighest.value,
    passes,
    parts: [part.id],
    says: `${say(cellHighest.value, 'voltage', 3)} at the most, ${moment(cellHighest)}, while up to ${say(returned.value, 'current')} come back; it is full at ${say(full_V, 'voltage', 3)}, and circuits that guard cells let go ${say(ABOVE_FULL_V, 'voltage')} above that at the latest.${why}`,
    slip: false,
  };
}
