import type { Block, Paper, Table } from './document/document.ts';
import { answerTo, type PaperSource } from './source.ts';
import { BEND_ALLOWANCE, colourOf, cutLength_m, END_ALLOWANCE_M, gaugeOf, labelOf, terminationOf } from './wire-words.ts';
import { wireLoads, type WireLoad } from './wire-loads.ts';
import { wiresOf, type Wire } from './wires.ts';
import { valueWords } from './report/words.ts';

const NOT_COMPUTED = 'not computed';
const NOT_FOLLOWED = 'not followed';
const LABEL = 'Label';
const LASTING = '\u2020';
const ALLOWANCE = `Length to cut: the length of the file, ${BEND_ALLOWANCE * 100} % more for bends and ${END_ALLOWANCE_M * 1000} mm for each end, rounded up to 5 mm (common practice, no source).`;

/** Every wire from end to end, the reels to cut from, and what the file leaves open. */
export function wireListPaper(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const { wires, bare, joined } = wiresOf(machine);
  const loads = wireLoads(source, wires);
  return {
    title: 'Wire list',
    stamp,
    layout: 'wide',
    lead: `${wires.length} wires, each with its ends.${wires[0] === undefined ? '' : ` Labels at both ends: \u201C${labelOf(wires[0])}\u201D.`}`,
    blocks: [
      withoutLabels(wireTable(source, wires, loads)),
      { type: 'paragraph', text: ALLOWANCE },
      ...loadWords(source, loads),
      { type: 'paragraph', text: 'Colours: codes of IEC 60757; with a star where the file names none and the colour is taken by what the wire does (RD plus, OG plus behind a converter, BK minus, BN signal ground).' },
      ...(bare.length === 0 ? [] : [{ type: 'list', title: 'Leads of which the file gives no wire', lines: bare.map(({ branch, from, to }) => `${branch}: ${from} to ${to}`) } as const]),
      ...(joined.length === 0 ? [] : [{ type: 'list', title: 'Joined without a wire of their own', lines: [joined.join(', ')] } as const]),
    ],
  };
}

/** The same with the label of each wire, for a spreadsheet. */
export function wireListTable(source: PaperSource): Table {
  const { wires } = wiresOf(source.machine);
  return wireTable(source, wires, wireLoads(source, wires));
}

/** On paper a label says nothing that does not stand in its row already, and has a sheet of its own. */
function withoutLabels(table: Table): Table {
  const kept = table.columns.flatMap(({ name }, at) => (name === LABEL ? [] : [at]));
  return { ...table, columns: kept.map((at) => table.columns[at]!), rows: table.rows.map((row) => kept.map((at) => row[at] ?? '')) };
}

/** Wires by reel: how much of each, and each piece to cut. */
export function cuttingListPaper({ machine, stamp }: PaperSource): Paper {
  const { wires } = wiresOf(machine);
  const reels = reelsOf(wires);
  return {
    title: 'Cutting list',
    stamp,
    layout: 'page',
    lead: 'What to take from each reel. Cut, then label both ends before the next one.',
    blocks: [
      {
        type: 'table',
        title: 'Reels',
        columns: [{ name: 'Size' }, { name: 'Section, mm²', figures: true }, { name: 'Colour' }, { name: 'Pieces', figures: true }, { name: 'Length in the machine, m', figures: true }, { name: 'Length to cut, m', figures: true }],
        rows: reels.map(({ size, section_mm2, colour, wires: some }) => [size, section_mm2, colour, String(some.length), metres(sum(some.map(length_m))), metres(sum(some.map(cutLength_m)))]),
      },
      {
        type: 'table',
        title: 'Pieces',
        columns: [{ name: 'Wire' }, { name: 'Size' }, { name: 'Colour' }, { name: 'Cut to, m', figures: true }, { name: 'Label' }, { name: 'Cut' }],
        rows: reels.flatMap(({ size, colour, wires: some }) => some.map((wire) => [wire.id, size, colour, metres(cutLength_m(wire)), labelOf(wire), '\u2610'])),
      },
      { type: 'paragraph', text: ALLOWANCE },
    ],
  };
}

/** Labels for both ends of every wire. */
export function labelsPaper({ machine, stamp }: PaperSource): Paper {
  const { wires } = wiresOf(machine);
  return {
    title: 'Wire labels',
    stamp,
    layout: 'page',
    lead: 'Two for each wire: here, and where it goes.',
    blocks: [
      { type: 'labels', title: '', labels: wires.flatMap(({ id, from, to }) => [{ head: `${id} ${from}`, text: `to ${to}` }, { head: `${id} ${to}`, text: `to ${from}` }]) },
    ],
  };
}

/** The labels as a table, for a label printer's program. */
export function labelTable({ machine }: PaperSource): Table {
  return {
    type: 'table', title: 'Wire labels',
    columns: [{ name: 'Wire' }, { name: 'Here' }, { name: 'Goes to' }, { name: 'Label' }],
    rows: wiresOf(machine).wires.flatMap((wire) => [[wire.id, wire.from, wire.to, labelOf(wire)], [wire.id, wire.to, wire.from, labelOf(wire)]]),
  };
}

export interface Reel {
  readonly size: string;
  readonly section_mm2: string;
  readonly colour: string;
  readonly wires: readonly Wire[];
}

/** Wires of one size and colour, thickest first. */
export function reelsOf(wires: readonly Wire[]): Reel[] {
  const reels = new Map<string, Wire[]>();
  for (const wire of wires) {
    const key = `${wire.conductor.section.value} ${colourOf(wire)}`;
    reels.set(key, [...(reels.get(key) ?? []), wire]);
  }
  return [...reels.values()]
    .sort(([a], [b]) => b!.conductor.section.value - a!.conductor.section.value)
    .map((some) => ({ size: sizeOf(some[0]!), section_mm2: squareMillimetres(some[0]!), colour: colourOf(some[0]!), wires: some }));
}

function wireTable(source: PaperSource, wires: readonly Wire[], loads: readonly WireLoad[]): Table {
  const any = (of: (load: WireLoad) => string | undefined): boolean => loads.some((load) => of(load) !== undefined);
  const [match, drive, heat] = [any(({ inMatch }) => inMatch), any(({ fullDrive }) => fullDrive), any(({ hottest }) => hottest)];
  return {
    type: 'table',
    title: 'Wires',
    columns: [
      { name: 'Wire' }, { name: 'From' }, { name: 'To' }, { name: 'AWG' }, { name: 'Section, mm²', figures: true }, { name: 'Length, m', figures: true }, { name: 'Cut to, m', figures: true },
      { name: 'Colour' }, { name: 'Ends' }, { name: LABEL }, { name: 'Branch' }, { name: 'Worst in the match', figures: true }, { name: 'At full drive', figures: true }, { name: 'Worst temperature', figures: true },
    ],
    rows: wires.map((wire, k) => {
      const { inMatch, fullDrive, hottest, settled } = loads[k]!;
      return [
        wire.id, wire.from, wire.to, gaugeOf(wire.conductor.section.value).replace(' AWG', ''), squareMillimetres(wire), metres(length_m(wire)), metres(cutLength_m(wire)),
        colourOf(wire), terminationOf(source.machine, wire), labelOf(wire), wire.branch,
        inMatch ?? (match ? NOT_FOLLOWED : ''), fullDrive ?? (drive ? NOT_COMPUTED : ''), hottest === undefined ? (heat ? NOT_COMPUTED : '') : `${hottest}${settled ? LASTING : ''}`,
      ];
    }),
  };
}

/** Where the currents and temperatures are from, and why some are missing. */
function loadWords(source: PaperSource, loads: readonly WireLoad[]): Block[] {
  const some = (of: (load: WireLoad) => unknown): boolean => loads.some((load) => of(load) !== undefined && of(load) !== false);
  const heat = answerTo(source, 'heat');
  const lines = [
    some(({ inMatch }) => inMatch)
      ? `Worst in the match: the highest current of the match of the answer \u201C${heat?.question ?? ''}\u201D${loads.some(({ inMatch }) => inMatch === undefined) ? `; \u201C${NOT_FOLLOWED}\u201D: the match follows the + leads of the packs\u2019 side and the returns beside them; no signal grounds, nothing behind a converter, and no return that other branches use` : ''}.`
      : `Worst in the match: not computed, because ${heat === undefined ? 'the question about heat was not asked' : heat.needs.length > 0 ? `the match needs ${heat.needs.join(', ')}` : 'no match could be run'}.`,
    some(({ fullDrive }) => fullDrive) ? 'At full drive: everything on, every controller at its battery-current limit at once, and what the other loads take.' : 'At full drive: not computed, because the machine has no state of rest then.',
    `Worst temperature: in that match${some(({ settled }) => settled) ? `; with ${LASTING} what the wire settles at, alone in still air, when the current of the full drive never stops` : ''}.`,
  ];
  return [{ type: 'list', title: 'Currents and temperatures', lines: some(({ hottest }) => hottest) ? lines : lines.slice(0, 2) }];
}

function sizeOf({ conductor }: Wire): string {
  const gauge = gaugeOf(conductor.section.value);
  return gauge === '' ? valueWords(conductor.section.value, 'area') : gauge;
}

function squareMillimetres({ conductor }: Wire): string {
  return String(Number((conductor.section.value * 1e6).toPrecision(3)));
}

function length_m({ conductor }: Wire): number {
  return conductor.length.value;
}

/** To the millimetre, so that sums are those of the parts. */
function metres(length: number): string {
  return length.toFixed(3);
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
