import { fingerprint } from '../machine/file/fingerprint.ts';
import { formatIssue } from '../machine/file/issue.ts';
import type { MachineNetwork } from '../machine/network/machine-network.ts';
import { HICCUPS } from '../machine/network/situation.ts';
import { formatValue } from '../quantity/format.ts';
import { CLASSES } from '../questions/states/load-class.ts';
import { asking, presentSources, startPositions, stateDetail, stateTable, type Asking, type LoadDetail, type StateTable } from '../questions/states/state-table.ts';
import type { Surveyed } from '../questions/states/surveyed.ts';
import { EXIT, Mistake, type ExitCode } from './exit.ts';
import { hang, printable, table, widthOf, type Column } from './layout.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';
import { parseSources, parseState } from './state-words.ts';
import type { Terminal } from './terminal.ts';

export interface StatesOptions {
  /** Motors that turn. */
  readonly spinning?: string | undefined;
  /** Packs that are out. */
  readonly out?: string | undefined;
  /** One state to show in detail. */
  readonly state?: string | undefined;
  readonly json: boolean;
}

interface Shown {
  readonly asked: Asking;
  readonly out: readonly string[];
  readonly spinning: readonly string[];
  /** The whole table, or one state with its positions. */
  readonly table: StateTable | undefined;
  readonly detail: { readonly positions: Uint8Array; readonly loads: readonly LoadDetail[] } | undefined;
}

/** `ampwright states`: the classes of all loads in every state of the switches, or one state in detail. */
export function statesCommand(path: string, options: StatesOptions, { terminal, version, readMachine }: Services): ExitCode {
  const text = readSource(path);
  const file = readMachine(text);
  for (const issue of file.ok ? file.questions : file.issues) terminal.writeError(`${formatIssue(issue, printable(path))}\n`);
  if (!file.ok) return EXIT.file;
  const asked = asking(file.machine);
  const { sources, rows } = asked.network;
  if (rows.length === 0) throw new Mistake('states: expected a machine with a switch, found none', EXIT.usage);
  const out = options.out === undefined ? [] : parseSources('--out', options.out, sources.filter(({ kind }) => kind === 'pack' || kind === 'bench supply'));
  const spinning = options.spinning === undefined ? [] : parseSources('--spinning', options.spinning, sources.filter(({ kind }) => kind === 'spinning motor'));
  const present = presentSources(sources, out, spinning);
  let shown: Shown = { asked, out, spinning, table: undefined, detail: undefined };
  let unsolved = 0;
  if (options.state === undefined) {
    const all = stateTable(asked, present);
    unsolved = all.unsolved;
    shown = { ...shown, table: all };
  } else {
    const positions = parseState(options.state, asked.network, startPositions(asked));
    const loads = stateDetail(asked, { positions, present });
    if (loads === undefined) unsolved = 1;
    else shown = { ...shown, detail: { positions, loads } };
  }
  const around = { machine: file.machine.name, fingerprint: fingerprint(text), version, unsolved };
  terminal.write(options.json ? statesJson(shown, around) : statesText(shown, around, terminal));
  return unsolved > 0 ? EXIT.none : EXIT.fine;
}

interface Around {
  readonly machine: string;
  readonly fingerprint: string;
  readonly version: string;
  readonly unsolved: number;
}

/** One object with SI values; null for what is not known or does not matter. */
function statesJson({ asked: { network }, out, spinning, table: all, detail }: Shown, { machine, fingerprint: id, version, unsolved }: Around): string {
  const placed = (positions: Uint8Array, counts: Uint8Array | undefined): object[] =>
    network.rows.map((row, r) => ({ switch: row.part, position: counts?.[r] === 0 ? null : row.positions[positions[r]!]!.name }));
  const object = {
    machine,
    fingerprint: id,
    version,
    out,
    spinning,
    states: all?.states ?? null,
    unsolved,
    exchanged: all?.exchanged ?? null,
    rows: all === undefined ? null : all.rows.map((row) => ({
      switches: placed(row.situation.positions, row.situation.asked),
      standsFor: row.situation.standsFor,
      loads: network.loads.map((load, k) => ({ load: load.part, class: CLASSES[row.classes[k]!]!, voltage: row.voltages[k]!, meant: row.fed[k] === 1, hiccups: row.came[k] === HICCUPS })),
    })),
    state: detail === undefined ? null : {
      switches: placed(detail.positions, undefined),
      loads: detail.loads.map(({ part, kind, class: name, voltage_V, meant, open, hiccups, reach }) => ({
        load: part, kind, class: name, voltage: voltage_V, meant, open,
        current: reach?.current_A ?? null,
        power: reach?.power_W ?? null,
        from: reach?.path.from ?? null,
        path: reach?.path.words ?? [],
        hiccups,
      })),
    },
  };
  return `${JSON.stringify(object, null, 2)}\n`;
}

/** A letter for each class, as in the table. */
const LETTERS = { dead: 'd', leaking: 'l', awake: 'a', 'can move': 'M' } as const;
const LEGEND = 'd dead, l leaking, a awake, M awake and able to move; * meant to be fed, ~ starts and stops again and again; the number is the voltage across it';
/** Kinds that only show or take: in the table of all states they would hide the others. */
const ASIDE: ReadonlySet<string> = new Set(['lamp', 'bleed', 'capacitors']);

function statesText({ asked: { network }, out, spinning, table: all, detail }: Shown, { machine, unsolved }: Around, terminal: Terminal): string {
  const { columns } = terminal;
  const sources = [...out.map((part) => `${part} out`), ...spinning.map((part) => `${part} turning`)];
  const withSources = sources.length === 0 ? 'packs in, motors at rest' : sources.join(', ');
  const lines: string[] = [];
  if (all !== undefined) {
    lines.push(terminal.ink('bold', `${printable(machine)}: ${all.states} states of ${network.rows.length} switch${network.rows.length === 1 ? '' : 'es'}, ${all.rows.length} that differ (${withSources})`));
    if (all.exchanged > 0) lines.push(...hang('  ', `${all.exchanged} of those ${all.rows.length} are others with equal branches exchanged; ${unsolved === 0 ? 'none is left out' : `all but ${unsolved} are solved`}.`, columns));
    lines.push(...hang('  ', LEGEND, columns));
    for (const block of blocks(network, all.rows, columns)) {
      const { head, rows } = table(block, columns - 2);
      lines.push('', ...head.map((line) => `  ${terminal.ink('dim', line)}`), ...rows.flat().map((line) => `  ${line}`));
    }
    if (network.loads.some(({ kind }) => ASIDE.has(kind))) lines.push('', ...hang('  ', 'Lamps, bleeds and banks are left out here; --json and --state have them.', columns));
  }
  if (detail !== undefined) {
    lines.push(terminal.ink('bold', `${printable(machine)}: ${network.rows.map((row, r) => `${row.part} ${row.positions[detail.positions[r]!]!.name}`).join(', ')} (${withSources})`));
    for (const load of detail.loads) lines.push(...detailLines(load, columns));
  }
  if (unsolved > 0) lines.push(...hang('  ', `In ${unsolved} state${unsolved === 1 ? '' : 's'} no state of rest was found.`, columns));
  return `${lines.join('\n')}\n`;
}

/** The table in as many blocks as the width asks for, each with the switches and some of the loads. */
function blocks(network: MachineNetwork, rows: readonly Surveyed[], width: number): Column[][] {
  const switches: Column[] = network.rows.map(({ part, positions }, r) => ({
    head: part,
    cells: rows.map(({ situation }) => (situation.asked[r] === 0 ? 'any' : positions[situation.positions[r]!]!.name)),
  }));
  const count: Column = { head: 'stands for', cells: rows.map(({ situation }) => String(situation.standsFor)) };
  const loads = network.loads.flatMap((load, k): Column[] => (ASIDE.has(load.kind) ? [] : [{ head: load.part, cells: rows.map((row) => cell(row, k)) }]));
  const room = width - 2 - [...switches, count].reduce((sum, column) => sum + columnWidth(column), 0);
  const found: Column[][] = [];
  let left = -1;
  for (const load of loads) {
    left -= columnWidth(load);
    if (left < 0) {
      found.push([...switches, count]);
      left = room - columnWidth(load);
    }
    found[found.length - 1]!.push(load);
  }
  return found;
}

/** Less than this is what is left of a zero, V. */
const ROUNDING_V = 1e-6;

function columnWidth({ head, cells }: Column): number {
  return 2 + Math.max(...head.split(' ').map(widthOf), ...cells.map(widthOf));
}

function cell({ classes, voltages, fed, came }: Surveyed, k: number): string {
  const name = CLASSES[classes[k]!]!;
  return `${LETTERS[name]}${fed[k] === 1 ? '*' : ''}${came[k] === HICCUPS ? '~' : ''}${name === 'dead' ? '' : ` ${Math.abs(voltages[k]!) < ROUNDING_V ? 0 : Number(voltages[k]!.toPrecision(3))}`}`;
}

function detailLines({ part, kind, class: name, voltage_V, meant, open, hiccups, reach }: LoadDetail, columns: number): string[] {
  const say = formatValue;
  const aim = meant ? 'meant to be fed' : open.length === 0 ? 'not meant to be fed' : `not meant to be fed: ${open.join(' and ')} open`;
  if (reach === undefined) return hang('  ', `${part} (${kind}): dead, ${aim}.`, columns);
  const { current_A, power_W, path } = reach;
  return [
    ...hang('  ', `${part} (${kind}): ${name}${hiccups ? ', starts and stops again and again' : ''}, ${aim}. ${say(voltage_V, 'voltage', 3)}; to be had: ${say(current_A, 'current', 2)}, ${say(power_W, 'power', 2)}.`, columns),
    ...(path.words.length === 0 ? [] : hang('      by way of ', path.words.join(' → '), columns)),
  ];
}
