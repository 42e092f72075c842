import { editMachine } from '../machine/file/edit.ts';
import { fingerprint } from '../machine/file/fingerprint.ts';
import { formatIssue } from '../machine/file/issue.ts';
import { formatValue } from '../quantity/format.ts';
import { nearest } from '../quantity/nearest.ts';
import type { Dimension, Quantity } from '../quantity/quantity.ts';
import { holdables, holdTest, type Filed, type Holdable, type HeldSoftStart } from '../questions/held-soft-start.ts';
import { HAND_s, METER, type Reading, type ReadingFit, type Told } from '../questions/hold-test.ts';
import type { SoftStart } from '../questions/soft-starts.ts';
import { editWords } from '../sheets/report/words.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { hang, printable, table } from './layout.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';
import type { Terminal } from './terminal.ts';
import { replaceSource } from './write-source.ts';

export interface HoldTestOptions {
  /** The switch that was held. */
  readonly at?: string | undefined;
  readonly reading?: readonly Reading[] | undefined;
  readonly rest?: Reading | undefined;
  readonly pack?: Quantity | undefined;
  readonly write: boolean;
  readonly json: boolean;
}

/** `ampwright hold-test`: capacitance and standby current behind a soft start from meter readings; writes them into the file when asked to. */
export function holdTestCommand(path: string, options: HoldTestOptions, { terminal, version, readMachine }: Services): ExitCode {
  const readings = [...(options.reading ?? []), ...(options.rest === undefined ? [] : [options.rest])];
  if (readings.length === 0) throw new Mistake('hold-test: expected readings like --reading "0.5 s 12.3 V", found none', EXIT.usage);
  const text = readSource(path);
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return EXIT.file;
  const found = holdables(file.machine);
  const test = holdTest(found, chosen(found, options.at), readings, options.pack);
  refuseAboveSupply(test);
  const edits = options.write ? test.edits : [];
  const measured = edits.length === 0 ? text : editMachine(text, edits);
  if (edits.length > 0) {
    if (!readMachine(measured).ok) throw new Error('the machine with the measured values written in has errors');
    replaceSource(path, measured);
  }
  terminal.write(options.json ? holdTestJson(test, { machine: file.machine.name, fingerprint: fingerprint(measured), version, written: edits }) : holdTestText(test, path, options.write, terminal));
  return test.outcome.capacitance.told && test.outcome.standby.told ? EXIT.fine : EXIT.none;
}

/** The soft start of a switch (or of a position, `Q1 CHARGE`, or of a resistor); the only one when none is named. */
function chosen({ softStarts }: Holdable, at: string | undefined): SoftStart {
  const names = softStarts.map(({ name }) => name);
  const [only] = softStarts;
  if (only === undefined) throw new Mistake('hold-test: expected a machine with a soft start, found none', EXIT.usage);
  const expected = `--at: expected one of ${names.join(', ')}`;
  if (at === undefined) {
    if (softStarts.length > 1) throw new Mistake(`${expected}, found nothing`, EXIT.usage);
    return only;
  }
  const meant = softStarts.filter(({ name, entryPart, resistor }) => [name, entryPart, resistor].includes(at.trim()));
  if (meant.length === 1 && meant[0] !== undefined) return meant[0];
  const near = meant.length > 1 ? undefined : nearest(at.trim(), softStarts.flatMap(({ name, entryPart, resistor }) => [entryPart, name, resistor]));
  throw new Mistake(`${expected}, found ${JSON.stringify(printable(at))}${near === undefined ? '' : `; did you mean ${near}?`}`, EXIT.usage);
}

/** A bus cannot stand above its pack: a slip of the keyboard, or another pack. */
function refuseAboveSupply({ supply, outcome }: HeldSoftStart): void {
  for (const { volts_V, voltsError_V = 0 } of outcome.readings) {
    if (volts_V - voltsError_V <= supply.high) continue;
    throw new Mistake(`--reading: expected at most the pack's ${formatValue(supply.value, 'voltage')}, found ${formatValue(volts_V, 'voltage')}; with another pack give its voltage with --pack`, EXIT.usage);
  }
}

interface Around {
  readonly machine: string;
  readonly fingerprint: string;
  readonly version: string;
  readonly written: HeldSoftStart['edits'];
}

/** One object with SI values; null for what is not known. */
function holdTestJson(test: HeldSoftStart, { machine, fingerprint: id, version, written }: Around): string {
  const { softStart, supply, resistance, outcome, filed, basis } = test;
  const told = (one: Told, file: Filed, unit: string): Readonly<Record<string, unknown>> => ({
    told: one.told,
    value: one.told ? one.value : null,
    low: one.told ? one.low : null,
    high: one.told ? one.high : null,
    atLeast: one.told ? null : (one.atLeast ?? null),
    atMost: one.told ? null : (one.atMost ?? null),
    unit,
    file: { value: file.value, low: file.low, high: file.high },
  });
  const object = {
    machine,
    fingerprint: id,
    version,
    softStart: softStart.name,
    resistor: softStart.resistor,
    status: outcome.status,
    capacitance: told(outcome.capacitance, filed.capacitance, 'F'),
    standby: told(outcome.standby, filed.standby, 'A'),
    supply: { value: supply.value, low: supply.low, high: supply.high, unit: 'V' },
    resistance: { value: resistance.value, low: resistance.low, high: resistance.high, unit: 'Ω' },
    // JSON has no infinity: a reading at rest has no time.
    readings: outcome.readings.map(({ time_s, volts_V, model_V, deviations }) => ({ time_s: time_s === Infinity ? null : time_s, volts_V, model_V, deviations })),
    chiSquare: outcome.chiSquare,
    degrees: outcome.degrees,
    limit: outcome.limit,
    basis,
    written,
  };
  return `${JSON.stringify(object, null, 2)}\n`;
}

function holdTestText(test: HeldSoftStart, path: string, write: boolean, terminal: Terminal): string {
  const { columns } = terminal;
  const { softStart, outcome, filed, basis, edits, unwritten } = test;
  const count = outcome.readings.length;
  const lines = [
    terminal.ink('bold', `${softStart.name} held through ${softStart.resistor}: ${count} reading${count === 1 ? '' : 's'}`),
    ...resultOf(test).flatMap((sentence) => hang('  ', sentence, columns)),
  ];
  if (outcome.status === 'fitted') {
    lines.push(...hang('  ', `Bank together: ${wordsOf(outcome.capacitance, filed.capacitance, 'capacitance', CAPACITANCE_NEEDS)}`, columns));
    lines.push(...hang('  ', `Standby while awake: ${wordsOf(outcome.standby, filed.standby, 'current', STANDBY_NEEDS)}`, columns));
  }
  lines.push('', ...readingTable(outcome.readings, columns), '', '  Rests on');
  const errors = `Meter ±(${100 * METER.share} % and ${METER.digits_V * 1e3} mV, and half of the last place where fewer are written), times ±${HAND_s} s by hand, unless a reading says otherwise; an empty bus at the start.`;
  lines.push(...[...basis, errors].flatMap((sentence) => hang('  - ', sentence, columns)));
  if (edits.length > 0) {
    lines.push('', write ? `  Written to ${printable(path)}` : '  With --write the file gets');
    lines.push(...edits.flatMap((edit) => hang('  - ', editWords(edit), columns)));
    if (new Set(edits.map(({ path: [, part] }) => part)).size > 1) lines.push(...hang('  ', 'Shared out in the file’s own proportion: the readings only tell the sum.', columns));
  }
  if (write && edits.length === 0) lines.push('', '  Nothing was written.');
  lines.push(...unwritten.flatMap((sentence) => hang('  ', sentence, columns)));
  return `${lines.join('\n')}\n`;
}

const CAPACITANCE_NEEDS = 'take a reading while the bus still climbs, about one time constant after the start; if that is too quick for a stopwatch, film the meter and write the time as "0.12 s ±0.03 s"';
const STANDBY_NEEDS = 'take a reading at rest (--rest), and one of the pack with the same meter (--pack)';

/** What stands above the values: why there are none. */
function resultOf({ softStart, outcome }: HeldSoftStart): readonly string[] {
  if (outcome.status === 'unsettled')
    return [`Cannot tell: with the values that fit best, ${softStart.starting.map(({ part }) => part).join(' or ')} starts and stops again and again, and a meter then shows nothing to count on. Unplug it and hold again.`];
  if (outcome.status === 'inconsistent') {
    const worst = outcome.readings.reduce((a, b) => (Math.abs(b.deviations) > Math.abs(a.deviations) ? b : a));
    const early = (outcome.readings[0]?.deviations ?? 0) > 0;
    const causes = ['the bus was not empty when the hold began', 'another load was on', `${softStart.resistor} is not the resistor that the file says`, 'a time or a voltage was written down wrong'];
    const likely = early ? causes : [...causes.slice(1), ...causes.slice(0, 1)];
    return [
      `Cannot tell: no capacitance and standby current explain these readings (chi-square ${outcome.chiSquare.toPrecision(3)}, at most ${outcome.limit.toPrecision(3)}). The one farthest off is ${timeWords(worst)}: ${formatValue(worst.volts_V, 'voltage')} where the best fit has ${formatValue(worst.model_V, 'voltage')}.`,
      `Likely causes: ${likely.join('; ')}.`,
    ];
  }
  return [];
}

function wordsOf(told: Told, filed: Filed, dimension: Dimension, needs: string): string {
  const say = (value: number): string => formatValue(value, dimension, 2);
  const range = ({ low, high }: { readonly low: number; readonly high: number }): string => {
    const [from, to] = [say(low), say(high)];
    const unit = / \S+$/.exec(to)?.[0] ?? '';
    return `${from.endsWith(unit) ? from.slice(0, from.length - unit.length) : from} to ${to}`;
  };
  const file = `the file says ${say(filed.value)}${filed.low < filed.high ? ` (${range(filed)}${filed.usual ? ', class default' : ''})` : ''}`;
  if (told.told) {
    const fits = told.low <= filed.high && told.high >= filed.low;
    return `${say(told.value)}, 95 %: ${range(told)}; ${file}${fits ? ', which fits' : `, which is too ${filed.high < told.low ? 'little' : 'much'}`}.`;
  }
  const bound = told.atMost !== undefined ? ` more than that it is at most ${say(told.atMost)}` : told.atLeast !== undefined ? ` more than that it is at least ${say(told.atLeast)}` : '';
  return `cannot tell${bound}; ${file}. To tell it, ${needs}.`;
}

function readingTable(readings: readonly ReadingFit[], columns: number): string[] {
  const { head, rows } = table([
    { head: 'after', cells: readings.map(timeWords) },
    { head: 'read', cells: readings.map(({ volts_V }) => formatValue(volts_V, 'voltage')) },
    { head: 'best fit', cells: readings.map(({ model_V }) => formatValue(model_V, 'voltage')) },
    { head: 'off by (standard deviations)', cells: readings.map(({ deviations }) => (Math.round(10 * deviations) / 10 + 0).toFixed(1)), flexible: true },
  ], columns - 2);
  return [...head, ...rows.flat()].map((line) => `  ${line}`);
}

function timeWords({ time_s }: ReadingFit): string {
  return time_s === Infinity ? 'at rest' : formatValue(time_s, 'time');
}
