import { LEADS_IN_MATCH } from '../questions/heat.ts';
import { HOTTEST_C, leadCurrents, type LeadCurrent } from '../questions/lead-currents.ts';
import { valueWords } from './report/words.ts';
import { answerTo, type PaperSource } from './source.ts';
import type { Wire } from './wires.ts';

/** What a wire carries at its worst and how hot it gets, in words; undefined where that is not computed. */
export interface WireLoad {
  /** Highest current in the match. */
  readonly inMatch: string | undefined;
  /** With everything on and every controller at its battery-current limit at once. */
  readonly fullDrive: string | undefined;
  readonly hottest: string | undefined;
  /** The temperature is that of the full drive for ever: the match does not follow this wire. */
  readonly settled: boolean;
}

/** By this share a return may carry more or less than the + lead beside it and still be followed with it. */
const ALIKE = 0.1;
/** Currents under this are leakage, A. */
const LEAKAGE_A = 1e-3;

/** The load of every wire, in the order of the wires. */
export function wireLoads(source: PaperSource, wires: readonly Wire[]): readonly WireLoad[] {
  const limits = leadCurrents(source.machine);
  const rows = matchRows(source);
  const limitOf = (wire: Pick<Wire, 'chain' | 'piece' | 'implied' | 'role'>): LeadCurrent | undefined =>
    limits?.find(({ chain, piece, implied, role }) => chain === wire.chain && piece === wire.piece && implied === wire.implied && (role === 'signal ground') === (wire.role === 'signal ground'));
  return wires.map((wire): WireLoad => {
    const limit = limitOf(wire);
    const beside = wire.implied ? limitOf({ ...wire, implied: false }) : limit;
    // The match takes a return for the + lead beside it; where another branch comes back through it too, that is not so.
    const followed = wire.role !== 'signal ground' && (limit === undefined || beside === undefined || Math.abs(limit.current_A - beside.current_A) <= ALIKE * beside.current_A);
    const [, most, , hottest] = (followed ? rows.filter(([lead]) => lead === `${wire.chain} lead`)[wire.piece] : undefined) ?? [];
    const settled_C = limit === undefined ? undefined : limit.settled_C === Infinity ? `over ${valueWords(HOTTEST_C, 'temperature')}` : valueWords(limit.settled_C, 'temperature');
    return {
      inMatch: most,
      fullDrive: limit === undefined ? undefined : limit.current_A < LEAKAGE_A ? `under ${valueWords(LEAKAGE_A, 'current')}` : valueWords(limit.current_A, 'current'),
      hottest: hottest ?? settled_C,
      settled: hottest === undefined && settled_C !== undefined,
    };
  });
}

/** Rows of the table of leads in the answer about heat: lead, at the most, root mean square, hottest. */
function matchRows(source: PaperSource): readonly (readonly string[])[] {
  const table = answerTo(source, 'heat')?.evidence.find((one) => one.type === 'table' && one.title === LEADS_IN_MATCH);
  return table?.type === 'table' ? table.rows : [];
}
