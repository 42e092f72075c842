import type { Item } from './answer.ts';
import type { CoilSpan } from './coil-spans.ts';
import type { SampleRecord, Study } from './study.ts';
import { called, figure, middleNinety, say, shareOf } from './words.ts';

/** Below this share of samples that hold, a coil that holds nominally is only marginal. */
const ENOUGH = 0.9;

/** Whether the coils that hang on the machine's own supply close their contactors and keep them closed, one item for each closing. */
export function coilItems(base: Study, records: readonly SampleRecord[]): Item[] {
  return base.nominal.coils.flatMap((span, k) => (isAsked(span) ? [coilItem(base, span, records.flatMap((record) => record.coils[k] ?? []).filter(isAsked))] : []));
}

/** A contactor that its own logic keeps open asks nothing of its coil. */
function isAsked({ refused }: CoilSpan): boolean {
  return refused === false || refused === 'coil';
}

function coilItem(base: Study, span: CoilSpan, samples: readonly CoilSpan[]): Item {
  const { circuit, values } = base;
  const coil = circuit.coils.find(({ part }) => part === span.part)!;
  const limit = span.refused === false ? coil.dropOut(values) : coil.pullIn(values);
  const passes = shareOf(samples, (one) => one.refused === false && one.dropOuts === 0);
  const sags = span.lowest_V < limit;
  return {
    where: `coil of ${called(circuit, span.part)}`,
    verdict: span.refused !== false || span.dropOuts > 0 ? 'bad' : sags || (passes !== undefined && passes < ENOUGH) ? 'marginal' : 'good',
    measure: 'lowest voltage on its coil',
    figure: figure(span.lowest_V, 'V', 'voltage', middleNinety(samples.map((one) => one.lowest_V))),
    limit,
    margin: span.lowest_V - limit,
    passes,
    parts: [span.part],
    says: sentence(span, limit, values[circuit.inputs.at(`${span.part}.releaseTime`)]!),
    slip: false,
  };
}

function sentence({ refused, lowest_V, dropOuts, closedAgain, first_s }: CoilSpan, limit_V: number, release_s: number): string {
  const [sees, limit] = [say(lowest_V, 'voltage', 3), say(limit_V, 'voltage', 3)];
  if (refused !== false) return `It does not close: its coil sees ${sees} and needs ${limit}.`;
  if (dropOuts > 0) {
    const again = closedAgain === 0 ? 'and stays open' : closedAgain < dropOuts ? `and closes again ${times(closedAgain)}` : 'and closes again each time';
    return `Its coil sees only ${sees}, under the ${limit} at which it drops out: at ${say(first_s ?? 0, 'time')} it falls open under load, ${times(dropOuts)} in all, ${again}.`;
  }
  if (lowest_V < limit_V) return `Its coil sees only ${sees} for less than the ${say(release_s, 'time')} that it takes to fall open at ${limit}.`;
  return `Its coil never sees less than ${sees}; it holds down to ${limit}.`;
}

function times(count: number): string {
  return count === 1 ? 'once' : `${count} times`;
}
