import type { Block, Paper, Table } from './document/document.ts';
import { answerTo, type PaperSource } from './source.ts';
import { BEND_ALLOWANCE, colourOf, cutLength_m, END_ALLOWANCE_M, gaugeOf, labelOf, terminationOf } from './wire-words.ts';
import { wiresOf, type Wire } from './wires.ts';
import { valueWords } from './report/words.ts';

type Worst = 'current' | 'temperature';

const NOT_COMPUTED = 'not computed';
const ALLOWANCE = `Length to cut: the length of the file, ${BEND_ALLOWANCE * 100} % more for bends and ${END_ALLOWANCE_M * 1000} mm for each end, rounded up to 5 mm (common practice, no source).`;

/** Every wire from end to end, the reels to cut from, and what the file leaves open. */
export function wireListPaper(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const { wires, bare, joined } = wiresOf(machine);
  return {
    title: 'Wire list',
    stamp,
    layout: 'wide',
    lead: `${wires.length} wires, each with its ends; the same numbers stand on the labels.`,
    blocks: [
      wireTable(source, wires),
      { type: 'paragraph', text: ALLOWANCE },
      ...notComputed(source, wires),
      { type: 'paragraph', text: 'Colours: codes of IEC 60757; with a star where the file names none and the colour is taken by what the wire does (RD plus, OG plus behind a converter, BK minus, BN signal ground).' },
      ...(bare.length === 0 ? [] : [{ type: 'list', title: 'Leads of which the file gives no wire', lines: bare.map(({ branch, from, to }) => `${branch}: ${from} to ${to}`) } as const]),
      ...(joined.length === 0 ? [] : [{ type: 'list', title: 'Joined without a wire of their own', lines: [joined.join(', ')] } as const]),
    ],
  };
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

function wireTable(source: PaperSource, wires: readonly Wire[]): Table {
  const shown = (wire: Wire, dimension: Worst): string => worst(source, wire, dimension) ?? (computed(source, wires, dimension) ? NOT_COMPUTED : '');
  return {
    type: 'table',
    title: 'Wires',
    columns: [
      { name: 'Wire' }, { name: 'From' }, { name: 'To' }, { name: 'AWG' }, { name: 'Section, mm²', figures: true }, { name: 'Length, m', figures: true }, { name: 'Cut to, m', figures: true },
      { name: 'Colour' }, { name: 'Ends' }, { name: 'Label' }, { name: 'Branch' }, { name: 'Worst current' }, { name: 'Worst temperature' },
    ],
    rows: wires.map((wire) => [
      wire.id, wire.from, wire.to, gaugeOf(wire.conductor.section.value).replace(' AWG', ''), squareMillimetres(wire), metres(length_m(wire)), metres(cutLength_m(wire)),
      colourOf(wire), terminationOf(source.machine, wire), labelOf(wire), wire.branch, shown(wire, 'current'), shown(wire, 'temperature'),
    ]),
  };
}

/**
 * The highest value of a dimension that the answer about heat has for a wire. Its items name the conductor by chain:
 * as one of their parts, or at the start of their place.
 */
function worst(source: PaperSource, { branch }: Wire, dimension: Worst): string | undefined {
  const chain = branch.replace(/, return$/, '');
  const found = (answerTo(source, 'heat')?.items ?? []).flatMap(({ parts, where, figure, slip }) =>
    (!slip && figure?.dimension === dimension && (parts.some((part) => part === chain || part.startsWith(`${chain}#`)) || where === chain || where.startsWith(`${chain},`) || where.startsWith(`${chain}:`)) ? [figure.value] : []));
  return found.length === 0 ? undefined : valueWords(Math.max(...found), dimension);
}

function computed(source: PaperSource, wires: readonly Wire[], dimension: Worst): boolean {
  return wires.some((wire) => worst(source, wire, dimension) !== undefined);
}

function notComputed(source: PaperSource, wires: readonly Wire[]): Block[] {
  const missing = (['current', 'temperature'] as const).filter((dimension) => !computed(source, wires, dimension));
  return missing.length === 0 ? [] : [{ type: 'paragraph', text: `Worst ${missing.join(' and ')} of the wires: not computed.` }];
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
