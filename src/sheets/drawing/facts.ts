import type { Conductor } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { awgSection_m2, gaugeName, nearestGauge } from '../../quantity/awg.ts';
import { formatValue } from '../../quantity/format.ts';
import type { Quantity } from '../../quantity/quantity.ts';

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

/** Code letters of colours. Source: IEC 60757 (from memory). */
const CODES: Readonly<Record<string, string>> = {
  black: 'BK', brown: 'BN', red: 'RD', orange: 'OG', yellow: 'YE', green: 'GN', blue: 'BU', violet: 'VT', grey: 'GY', gray: 'GY', white: 'WH', pink: 'PK', turquoise: 'TQ',
};

/** `red` is RD; two colours on one conductor stand together, as in GNYE. */
export function colourCode(colour: string | undefined): string {
  if (colour === undefined) return '';
  return colour.split(/[\s/]+/).map((word) => CODES[word] ?? word).join('');
}

/** What is written at a conductor: its metric section and its gauge over the line, its length and colour under it. */
export interface ConductorWords {
  readonly metric: string;
  readonly size: string;
  readonly length: string;
}

/** `8.37 mm²`, `8 AWG`, `0.50 m RD`; a metric size stands alone. */
export function conductorWords(conductor: Conductor): ConductorWords {
  const section_m2 = conductor.section.value;
  const gauge = nearestGauge(section_m2);
  const metric = formatValue(section_m2, 'area');
  const isGauge = gauge !== undefined && Math.abs(section_m2 / awgSection_m2(gauge) - 1) <= 0.01;
  const length = `${lengthWords(conductor.length.value)} ${colourCode(conductor.colour)}`.trim();
  return isGauge ? { metric, size: gaugeName(gauge), length } : { metric: '', size: metric, length };
}

/** Metres with at least two decimals, as a tape is read: `0.50 m`, `0.125 m`. */
function lengthWords(length_m: number): string {
  const text = String(Number(length_m.toPrecision(3)));
  return `${(text.split('.')[1]?.length ?? 0) > 2 ? text : length_m.toFixed(2)} m`;
}
