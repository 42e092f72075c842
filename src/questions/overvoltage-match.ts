import { pointOf } from '../machine/circuit/nets.ts';
import type { Extreme, MatchRecord } from '../machine/match/record.ts';
import type { Item, Verdict } from './answer.ts';
import { moment } from './match-study.ts';
import type { Study } from './study.ts';
import { called, figure, middleNinety, say, shareOf } from './words.ts';

const ENOUGH = 0.95;

/** What judges a voltage at a part's input, and what it bears where that is stated. */
export interface InputLimit {
  readonly part: string;
  readonly limit_V: number | undefined;
  /** Taken where nothing is stated, V. */
  readonly taken_V: number;
  readonly judge: (peak_V: number) => Verdict;
}

/** The highest voltage of every input in the match: a full pack, lifted by motors that brake. */
export function overvoltageInMatch(base: Study, limits: readonly InputLimit[], fights: readonly MatchRecord[]): Item[] {
  const fought = base.fought();
  if (fought.status !== 'fought') return [];
  const { record } = fought.fight;
  return limits.flatMap(({ part, limit_V, taken_V, judge }): Item[] => {
    const peak = highestAt(base, record, part);
    if (peak === undefined) return [];
    const samples = fights.flatMap((fight) => highestAt(base, fight, part)?.value ?? []);
    const passes = shareOf(samples, (value) => value <= (limit_V ?? taken_V));
    const lettingGo = record.controllers.find((one) => one.part === part)?.overvoltages_s ?? [];
    const own = judge(peak.value);
    const blocked = diodeBefore(base, part);
    const why = own === 'bad' && blocked !== undefined ? ` ${called(base.circuit, blocked)} keeps it from giving what it brakes back to the pack: its own capacitors take it all.` : '';
    const verdict: Verdict = own === 'good' && (lettingGo.length > 0 || (passes !== undefined && passes < ENOUGH)) ? 'marginal' : own;
    return [
      {
        where: `${called(base.circuit, part)} in the match`,
        verdict,
        measure: 'at its input, at the highest',
        figure: figure(peak.value, 'V', 'voltage', middleNinety(samples)),
        limit: limit_V,
        margin: limit_V === undefined ? undefined : limit_V - peak.value,
        passes,
        parts: [part],
        says: `${say(peak.value, 'voltage', 3)} at the most, ${moment(peak)}; ${limit_V === undefined ? 'its limit is not given' : `it bears ${say(limit_V, 'voltage', 3)}${own === 'bad' ? ', and dies on the way there' : ''}`}.${why}${lettingGo.length === 0 ? '' : ` It lets go of its motor ${lettingGo.length === 1 ? 'once' : `${lettingGo.length} times`} because of the voltage, first at ${say(lettingGo[0]!, 'time')}: no brake then.`}`,
        slip: false,
      },
    ];
  });
}

/** The diode in the way from the packs to a part that is nearest to it. */
export function diodeBefore({ machine }: Study, part: string): string | undefined {
  const seen = new Set<string>();
  for (let point = `${part}+`; !seen.has(point); ) {
    seen.add(point);
    const here = point;
    const chain = machine.wiring.chains.find((one) => one.role === 'supply' && pointOf(one.to) === here);
    if (chain === undefined) return undefined;
    const diodes = chain.items.flatMap((item) => ('part' in item && ['diode', 'ideal diode'].includes(machine.parts.get(item.part)?.kind ?? '') ? [item.part] : []));
    if (diodes.length > 0) return diodes.at(-1);
    point = pointOf(chain.from);
  }
  return undefined;
}

/** Highest voltage at a part's input in a match: its own, or that of the place where it hangs. */
function highestAt(base: Study, record: MatchRecord, part: string): Extreme | undefined {
  const controller = record.controllers.find((one) => one.part === part);
  if (controller !== undefined) return controller.highest;
  const chain = base.machine.wiring.chains.find((one) => one.role === 'supply' && pointOf(one.to) === `${part}+`);
  const place = chain === undefined ? undefined : pointOf(chain.from);
  return record.buses.find(({ point }) => point === part || point === place || `${point}+` === place)?.highest;
}
