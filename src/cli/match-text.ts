import type { Machine } from '../machine/machine.ts';
import type { Extreme, MatchOutcome, MatchRecord } from '../machine/match/record.ts';
import type { NumberedMatch } from '../machine/match/spread.ts';
import { formatValue } from '../quantity/format.ts';
import type { Dimension } from '../quantity/quantity.ts';
import { hang, printable } from './layout.ts';
import type { Terminal } from './terminal.ts';

export interface ShownMatch {
  readonly machine: Machine;
  readonly needs: readonly string[];
  readonly outcome: MatchOutcome;
  readonly fingerprint: string;
  readonly version: string;
  readonly seed: number;
}

/** The hottest parts that are named. */
const HOTTEST = 5;

/** The match as the file has it, in words. */
export function matchText({ machine, needs, outcome, seed }: ShownMatch, terminal: Terminal): string {
  const { columns } = terminal;
  const lines: string[] = [];
  const say = (lead: string, text: string): void => {
    lines.push(...hang(`  ${lead.padEnd(LEAD)}`, text, columns));
  };
  if (outcome.status === 'refused') {
    const { cause, time, where, detail } = outcome.refusal;
    return `${[terminal.ink('bold', printable(machine.name)), ...hang('  ', `The match was not trusted: ${cause} at ${formatValue(time, 'time')}, ${where}${detail === '' ? '' : ` (${detail})`}.`, columns)].join('\n')}\n`;
  }
  const { record } = outcome;
  lines.push(terminal.ink('bold', `${printable(machine.name)}: a match of ${formatValue(record.length_s, 'time')}, duty ${printable(record.duty)}, seed ${seed}`));
  if (needs.length > 0) say('stands', `still for want of: ${needs.join(', ')}.`);
  for (const radio of record.radios)
    say('radio', `${radio.part}: rail at least ${at(radio.lowest, 'voltage')}, resets at ${formatValue(radio.reset_V, 'voltage')}; ${radio.losses.length === 0 ? 'never lost' : `lost ${times(radio.losses.length)}, ${formatValue(radio.without_s, 'time')} without control, first at ${formatValue(radio.losses[0]!.from_s, 'time')}`}.`);
  for (const converter of record.converters) if (converter.stops_s.length > 0) say('converter', `${converter.part} stopped ${times(converter.stops_s.length)}, first at ${formatValue(converter.stops_s[0]!, 'time')}.`);
  for (const pack of record.packs)
    say('pack', `${pack.part}: ${formatValue(pack.used_C, 'charge')} used (${formatValue(pack.usedShare, 'ratio')}), weakest cell ${at(pack.cellLowest, 'voltage')}, up to ${at(pack.peak, 'current')}, ${formatValue(pack.rms_A, 'current')} rms, ${formatValue(pack.hottest.value, 'temperature')}.`);
  const [lowest] = [...record.buses].sort((a, b) => a.lowest.value - b.lowest.value);
  const [highest] = [...record.buses].sort((a, b) => b.highest.value - a.highest.value);
  if (lowest !== undefined && highest !== undefined) say('bus', `lowest ${at(lowest.lowest, 'voltage')} at ${lowest.point}, highest ${at(highest.highest, 'voltage')} at ${highest.point}.`);
  const hot = [...record.heats].sort((a, b) => nearness(b) - nearness(a)).slice(0, HOTTEST);
  for (const heat of hot) say('heat', `${heat.name}: ${at(heat.hottest, 'temperature')}${heat.limit_C === undefined ? '' : `, bears ${formatValue(heat.limit_C, 'temperature')}`}.`);
  for (const fuse of record.fuses) say('fuse', `${fuse.part}: ${fuse.blows_s === undefined ? `holds, ${formatValue(fuse.warmth.value, 'ratio')} of the way to melting` : `blows at ${formatValue(fuse.blows_s, 'time')}`}.`);
  for (const one of record.protections) if (one.trips_s !== undefined) say('protection', `${one.part} trips at ${formatValue(one.trips_s, 'time')}.`);
  for (const one of record.controllers) {
    const found = [
      ...(one.cutOuts_s.length > 0 ? [`stopped ${times(one.cutOuts_s.length)} for want of voltage, first at ${formatValue(one.cutOuts_s[0]!, 'time')}`] : []),
      ...(one.overvoltages_s.length > 0 ? [`let go ${times(one.overvoltages_s.length)} because of over-voltage`] : []),
      ...(one.leastAllowed < 1 ? [`folded back to ${formatValue(one.leastAllowed, 'ratio')} of its motor current`] : []),
    ];
    if (found.length > 0) say('controller', `${one.part} ${found.join('; ')}.`);
  }
  return `${lines.join('\n')}\n`;
}

const LEAD = 11;

function at({ value, time_s, during }: Extreme, dimension: Dimension): string {
  return `${formatValue(value, dimension)} at ${formatValue(time_s, 'time')}${during.length === 0 ? '' : ` (${during.join('; ')})`}`;
}

function times(count: number): string {
  return count === 1 ? 'once' : `${count} times`;
}

/** How near a part came to its limit: 1 at it. */
function nearness({ hottest, limit_C, atStart_C }: MatchRecord['heats'][number]): number {
  return limit_C === undefined ? 0 : (hottest.value - atStart_C) / Math.max(1, limit_C - atStart_C);
}

/** Many matches in words. */
export function spreadText(many: readonly NumberedMatch[], { columns }: Terminal): string {
  return `${spreadLines(many, columns).join('\n')}\n`;
}

function spreadLines(many: readonly NumberedMatch[], columns: number): string[] {
  const records = many.flatMap(({ outcome }) => (outcome.status === 'done' ? [outcome.record] : []));
  const lines: string[] = ['', ...hang('  ', `${records.length} matches with everything drawn from its spread${records.length < many.length ? `; ${many.length - records.length} were refused by their own checks` : ''}:`, columns)];
  const say = (lead: string, values: readonly number[], dimension: Dimension): void => {
    if (values.length === 0) return;
    const sorted = [...values].sort((a, b) => a - b);
    const share = (p: number): string => formatValue(sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))]!, dimension);
    lines.push(...hang('  ', `${lead}: ${share(0.5)} in the middle, ${share(0.05)} to ${share(0.95)} for nine of ten.`, columns));
  };
  const [first] = records;
  if (first === undefined) return lines;
  first.packs.forEach(({ part }, k) => {
    say(`charge used of ${part}`, records.map((record) => record.packs[k]!.usedShare), 'ratio');
    say(`weakest cell of ${part}`, records.map((record) => record.packs[k]!.cellLowest.value), 'voltage');
  });
  first.radios.forEach(({ part }, k) => {
    const lost = records.filter((record) => record.radios[k]!.losses.length > 0).length;
    lines.push(...hang('  ', `${part} lost in ${lost} of ${records.length} matches.`, columns));
  });
  return lines;
}

export function matchJson({ machine, needs, outcome, fingerprint, version, seed }: ShownMatch, many: readonly NumberedMatch[]): string {
  return `${JSON.stringify({ machine: machine.name, fingerprint, version, seed, needs, match: outcome, matches: many }, undefined, 2)}\n`;
}

/** Every curve, a column each. */
export function matchCsv({ curves }: MatchRecord): string {
  if (curves === undefined) return '';
  const head = ['time (s)', ...curves.columns.map(({ name, unit }) => `${name} (${unit})`)].map(cell).join(',');
  const rows = curves.time_s.map((time, k) => [time, ...curves.columns.map(({ values }) => values[k]!)].map((value) => `${Number(value.toPrecision(7))}`).join(','));
  return `${[head, ...rows].join('\n')}\n`;
}

/** A name that holds a comma or a quote goes in quotes (RFC 4180); one that a spreadsheet would take for a formula gets an apostrophe. */
function cell(text: string): string {
  const harmless = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
