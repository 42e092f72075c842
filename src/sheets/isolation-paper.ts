import type { MachineNetwork } from '../machine/network/machine-network.ts';
import { HICCUPS } from '../machine/network/situation.ts';
import { CLASSES } from '../questions/states/load-class.ts';
import { asking, presentSources, stateTable, type Asking } from '../questions/states/state-table.ts';
import type { Surveyed } from '../questions/states/surveyed.ts';
import { answerBlocks } from './answer-papers.ts';
import type { Block, Column, Paper, Table } from './document/document.ts';
import { valueWords } from './report/words.ts';
import { answerTo, type PaperSource } from './source.ts';

/** Kinds that only show or take: in the table of all states they would hide the others. */
const ASIDE: ReadonlySet<string> = new Set(['lamp', 'bleed', 'capacitors']);
/** Loads beside each other in one table; more than these stand in a second one. */
const LOADS_ACROSS = 8;

/** What every load is in every state of the switches, and by which path something wakes behind an open one. */
export function isolationPaper(source: PaperSource): Paper | undefined {
  const answer = answerTo(source, 'isolation');
  if (answer === undefined) return undefined;
  const asked = asking(source.machine);
  return {
    title: 'Isolation table',
    stamp: source.stamp,
    layout: 'wide',
    lead: 'What every load does in every state of the switches, and what wakes though it is switched off.',
    blocks: [
      { type: 'verdict', verdict: answer.verdict, question: answer.question, says: answer.refused === undefined ? answer.says : `Refused: ${answer.refused}` },
      ...(asked.network.rows.length === 0 ? [] : [LEGEND, ...stateTables(asked)]),
      ...answerBlocks({ ...answer, evidence: answer.evidence.filter(({ title }) => !title.startsWith('Every state')) }).slice(1),
    ],
  };
}

/** The table with the packs in and the motors at rest, for a spreadsheet. */
export function isolationTable(source: PaperSource): Table | undefined {
  if (answerTo(source, 'isolation') === undefined) return undefined;
  const asked = asking(source.machine);
  return asked.network.rows.length === 0 ? undefined : stillTable(asked, allLoads(asked.network));
}

const LEGEND: Block = {
  type: 'facts', title: 'How to read the table',
  facts: [
    { name: 'dead', value: 'switched off and nothing there: under 1 V, and under 1 mA to be had' },
    { name: 'LEAKS', value: 'switched off, but some voltage or current comes through; too little to wake it' },
    { name: 'WAKES', value: 'switched off, but it has enough to start' },
    { name: 'CAN MOVE', value: 'switched off, but it has enough to start and to turn its motor' },
    { name: 'on; on, can move', value: 'switched on as it should be; the second with enough to turn its motor' },
    { name: 'does not start', value: 'switched on, but it gets too little' },
    { name: 'any', value: 'the position of this switch makes no difference; the row stands for all of them' },
  ],
};

function stateTables(asked: Asking): Table[] {
  return inPieces(allLoads(asked.network)).map((some) => stillTable(asked, some));
}

function allLoads(network: MachineNetwork): number[] {
  return network.loads.flatMap(({ kind }, k) => (ASIDE.has(kind) ? [] : [k]));
}

function inPieces(loads: readonly number[]): number[][] {
  const tables = Math.max(1, Math.ceil(loads.length / LOADS_ACROSS));
  const each = Math.ceil(loads.length / tables);
  return Array.from({ length: tables }, (_, k) => loads.slice(k * each, (k + 1) * each));
}

function stillTable(asked: Asking, loads: readonly number[]): Table {
  return tableOf(asked, loads, presentSources(asked.network.sources, [], []), 'Packs in, motors at rest');
}

function tableOf(asked: Asking, loads: readonly number[], present: Uint8Array, title: string): Table {
  const { network } = asked;
  const { rows, states, unsolved } = stateTable(asked, present);
  const columns: Column[] = [
    ...network.rows.map(({ part }) => ({ name: part })),
    { name: 'States', figures: true },
    ...loads.map((k) => ({ name: network.loads[k]!.part })),
  ];
  const left = unsolved === 0 ? '' : `; ${unsolved} could not be computed`;
  return {
    type: 'table',
    title: `${title}: ${states} states of ${network.rows.length} ${network.rows.length === 1 ? 'switch' : 'switches'}, in ${rows.length} ${rows.length === 1 ? 'row' : 'rows'}${left}`,
    columns,
    rows: rows.map((row) => [...placed(network, row), String(row.situation.standsFor), ...loads.map((k) => stateWords(row, k))]),
  };
}

function placed({ rows }: MachineNetwork, { situation }: Surveyed): string[] {
  return rows.map(({ positions }, r) => (situation.asked[r] === 0 ? 'any' : (positions[situation.positions[r]!]?.name ?? '')));
}

/** One load in one state: what should be plain, what should not be in capitals. */
function stateWords({ classes, voltages, fed, came }: Surveyed, k: number): string {
  const name = CLASSES[classes[k]!]!;
  const again = came[k] === HICCUPS ? ', starts and stops again and again' : '';
  const volts = Math.abs(voltages[k]!) < 0.005 ? '' : ` ${valueWords(Number(voltages[k]!.toPrecision(3)), 'voltage')}`;
  if (fed[k] === 1) return name === 'dead' || name === 'leaking' ? `does not start${again}${volts}` : `${name === 'awake' ? 'on' : 'on, can move'}${again}${volts}`;
  return { dead: 'dead', leaking: `LEAKS${volts}`, awake: `WAKES${again}${volts}`, 'can move': `CAN MOVE${again}${volts}` }[name];
}
