import type { BenchLeadPath } from '../machine/circuit/bench-leads.ts';
import type { Item } from './answer.ts';
import { runPowerUp, standingFrom } from './runs.ts';
import type { Study } from './study.ts';
import { called, figure, say } from './words.ts';

/** What a lead that belongs to the bench does when it is still plugged in as the machine is switched on. */
export interface BenchSlip {
  readonly words: string;
  /** Undefined when it does no harm. */
  readonly item: Item | undefined;
  /** How far beyond its limit. */
  readonly load: number;
}

/**
 * A thin lead takes for a second what it carries for long, and its plug ten times that for an instant. Common practice,
 * no source.
 */
const SHORT_S = 1;
const PLUG_PEAK = 10;

/** Runs the power-up with each bench lead plugged in from the start. */
export function benchSlips(base: Study): BenchSlip[] {
  return base.circuit.benchLeads.filter(({ present }) => present === 'on the bench').map((path) => benchSlip(base, path));
}

function benchSlip(base: Study, { part, lead, from }: BenchLeadPath): BenchSlip {
  const { circuit, machine, values } = base;
  const begun = standingFrom(circuit, new Map(), new Set(), values);
  begun.parameters[lead.present] = 1;
  const { run } = runPowerUp(circuit, machine.powerUp, values, { watches: [lead.current], between: 3 }, begun);
  const peak_A = Math.max(...(run.recording.curves[0] ?? [0]).map(Math.abs));
  const first = run.recording.time_s.findIndex((_, k) => Math.abs(run.recording.curves[0]![k]!) > 0.5 * peak_A);
  const carries_A = values[circuit.inputs.at(`${part}.carries`)]!;
  const letThrough_A2s = run.unknowns[lead.letThrough]!;
  const load = Math.max(Math.sqrt(letThrough_A2s / SHORT_S) / carries_A, peak_A / (PLUG_PEAK * carries_A));
  const words = `${called(circuit, part)} still plugged in`;
  if (!(load > 1)) return { words: `${words} (${say(peak_A, 'current')} through it at most)`, item: undefined, load };
  const before = run.recording.time_s[first]! < 0;
  const closing = base.nominal.closings[0]?.closing;
  const round = before && closing !== undefined ? `: it leads round ${called(circuit, closing.part)} and whatever else is open in the negative, as soon as the pack is in` : '';
  return {
    words,
    load,
    item: {
      where: words,
      verdict: 'bad',
      measure: 'peak through it',
      figure: figure(peak_A, 'A', 'current', []),
      limit: PLUG_PEAK * carries_A,
      margin: PLUG_PEAK * carries_A - peak_A,
      passes: undefined,
      parts: [part],
      says: `The machine's current runs through its ground from ${from}, ${say(peak_A, 'current')} at the peak and ${say(letThrough_A2s, 'let-through')} in all${round}. It carries ${say(carries_A, 'current')}. Break the positive where such leads exist, or use an isolated one.`,
      slip: true,
    },
  };
}
