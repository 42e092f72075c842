import type { Item, Verdict } from './answer.ts';
import type { Study } from './study.ts';
import { called, figure, say } from './words.ts';

/** Rise at which the ceramic of an inrush limiter is at its usual limit, K. Common practice, no source. */
const LIMITER_RISE_K = 150;
/** Half of what a die may take leaves room for the next start while it is warm. Common practice, no source. */
const USED_SHARE = 0.5;

/** What charging costs the parts that limit it by a law of their own: solid-state switches and inrush limiters. */
export function rampItems(base: Study): Item[] {
  const items: Item[] = [];
  for (const [id, heated] of base.circuit.heats) {
    const part = base.machine.parts.get(id);
    const run = base.nominal.run;
    const energy_J = heated.reduce((sum, one) => sum + run.unknowns[one.heat]!, 0);
    if (part?.kind === 'solid-state switch') items.push(dieItem(base, id, energy_J));
    const rise_K = heated[0]?.temperature === undefined ? undefined : run.unknowns[heated[0].temperature];
    if (part?.kind === 'inrush limiter' && rise_K !== undefined) items.push(limiterItem(base, id, energy_J, rise_K));
  }
  return items;
}

function dieItem(base: Study, id: string, energy_J: number): Item {
  const value = (field: string): number => base.values[base.circuit.inputs.at(`${id}.${field}`)]!;
  const die_J = value('dieEnergy');
  const limit = USED_SHARE * die_J;
  const verdict: Verdict = energy_J > die_J ? 'bad' : energy_J > limit ? 'marginal' : 'good';
  const ramp_s = value('ramp');
  return {
    where: `${called(base.circuit, id)}, one of its ${say(value('dies'), 'count')} dies during the ramp`,
    verdict,
    measure: 'of heat in one die',
    figure: figure(energy_J, 'J', 'energy', []),
    limit,
    margin: limit - energy_J,
    passes: undefined,
    parts: [id],
    says: `${say(energy_J, 'energy')} in ${say(ramp_s, 'time')}, about ${say(energy_J / ramp_s, 'power')}, and the die that turns on first carries all of it; one die takes about ${say(die_J, 'energy')}. Such a switch fails closed: it never counts as the isolator.`,
    slip: false,
  };
}

function limiterItem(base: Study, id: string, energy_J: number, rise_K: number): Item {
  const verdict: Verdict = rise_K > LIMITER_RISE_K ? 'bad' : rise_K > USED_SHARE * LIMITER_RISE_K ? 'marginal' : 'good';
  return {
    where: `${called(base.circuit, id)}, one charge from cold`,
    verdict,
    measure: 'warmer than its surroundings',
    figure: figure(rise_K, 'K', 'temperature rise', []),
    limit: LIMITER_RISE_K,
    margin: LIMITER_RISE_K - rise_K,
    passes: undefined,
    parts: [id],
    says: `${say(energy_J, 'energy')} warm it by ${say(rise_K, 'temperature rise')}; while it is warm it limits less, so a second start within a minute or two sparks more.`,
    slip: false,
  };
}
