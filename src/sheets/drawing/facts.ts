import type { Conductor, Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { formatValue } from '../../quantity/format.ts';
import type { Quantity } from '../../quantity/quantity.ts';
import { colourOf, gaugeOf } from '../wire-words.ts';
import { wiresOf } from '../wires.ts';

function said(...quantities: readonly (Quantity | undefined)[]): string {
  return quantities.flatMap((quantity) => (quantity === undefined ? [] : [formatValue(quantity.value, quantity.dimension)])).join(' ');
}

/** The figures that a builder reads off a part, in one short line. */
export function factsOf(part: Part): string {
  switch (part.kind) {
    case 'pack': {
      const parallel = part.values.parallel?.value ?? 1;
      return `${part.values.cells.value}S${parallel > 1 ? `${parallel}P` : ''} ${CHEMISTRY[part.values.chemistry]} ${said(part.values.capacity)}`;
    }
    case 'bench supply':
      return said(part.values.voltage, part.values.limit);
    case 'fuse':
      return said(part.values.rating, part.values.voltage);
    case 'resistor':
    case 'bleed':
    case 'brake resistor':
      return said(part.values.resistance, part.values.power);
    case 'inrush limiter':
      return said(part.values.resistance);
    case 'lamp':
      return said(part.values.resistance);
    case 'diode':
    case 'ideal diode':
    case 'protection':
    case 'solid-state switch':
    case 'contactor':
      return said(part.values.rating);
    case 'isolator':
    case 'link':
    case 'connector':
    case 'button':
      return said(part.values.rating);
    case 'capacitors':
      return said(part.values.capacitance, part.values.voltage);
    case 'controller':
      return said(part.values.motorCurrent, part.values.capacitance);
    case 'converter':
      return said(part.values.output, part.values.outputCurrent);
    case 'regulator':
      return said(part.values.output);
    case 'receiver':
      return said(part.values.current);
    case 'servo':
      return said(part.values.stall);
    case 'load':
      return said(part.values.power, part.values.current, part.values.resistance);
    case 'motor':
      return said(part.values.resistance);
    case 'joint':
      return '';
    case 'bench lead':
      return part.values.present === 'always' ? '' : part.values.present;
  }
}

const CHEMISTRY = { lipo: 'LiPo', nca: 'NCA', nmc: 'NMC', lfp: 'LFP' } as const;

/** What is written at a conductor: its metric section and its gauge over the line, its wires, its length and its colour under it. */
export interface ConductorWords {
  readonly metric: string;
  readonly size: string;
  readonly wires: string;
  readonly length: string;
}

/** Numbers and colour of the wires that a conductor stands for, as in the wire list. */
export interface WireMark {
  /** `W3`; with the − lead that runs beside it, `W3, −W4`. */
  readonly ids: string;
  /** Code, with a star where the file does not say the colour. */
  readonly colour: string;
}

/** The marks of all conductors of a machine. */
export function wireMarks(machine: Machine): ReadonlyMap<Conductor, WireMark> {
  const marks = new Map<Conductor, WireMark>();
  for (const wire of wiresOf(machine).wires) {
    const before = marks.get(wire.conductor);
    const id = wire.implied ? `\u2212${wire.id}` : wire.id;
    marks.set(wire.conductor, before === undefined ? { ids: id, colour: colourOf(wire) } : { ...before, ids: `${before.ids}, ${id}` });
  }
  return marks;
}

/** `8.37 mm²`, `8 AWG`, `W3, −W4`, `0.50 m RD`; a metric size stands alone. */
export function conductorWords(conductor: Conductor, mark: WireMark | undefined): ConductorWords {
  const section_m2 = conductor.section.value;
  const gauge = gaugeOf(section_m2);
  const metric = formatValue(section_m2, 'area');
  const length = `${lengthWords(conductor.length.value)} ${mark?.colour ?? ''}`.trim();
  return { metric: gauge === '' ? '' : metric, size: gauge === '' ? metric : gauge, wires: mark?.ids ?? '', length };
}

/** Metres with at least two decimals, as a tape is read: `0.50 m`, `0.125 m`. */
function lengthWords(length_m: number): string {
  const text = String(Number(length_m.toPrecision(3)));
  return `${(text.split('.')[1]?.length ?? 0) > 2 ? text : length_m.toFixed(2)} m`;
}
