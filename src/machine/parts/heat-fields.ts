import type { Quantity } from '../../quantity/quantity.ts';
import { classDefault, classDefaultTimes } from '../classes.ts';
import type { QuantityField } from '../field.ts';

const thermalResistance = {
  type: 'quantity', dimension: 'thermal resistance', above: 0, match: true, example: '7 K/W',
  meaning: 'Rise over the air inside the machine for each watt that it turns to heat.',
} as const satisfies QuantityField;

const heatCapacity = {
  type: 'quantity', dimension: 'heat capacity', above: 0, match: true, example: '8 J/K',
  meaning: 'Heat that warms it by one kelvin.',
} as const satisfies QuantityField;

const limitTemperature = {
  type: 'quantity', dimension: 'temperature', atLeast: 40, atMost: 400, match: true, example: '105 °C',
  meaning: 'Temperature that it bears.',
} as const satisfies QuantityField;

/** How a part warms by what it loses: one lump, cooled by the air inside the machine. */
export const heatFields = { thermalResistance, heatCapacity, limitTemperature } as const;

/** What is taken for a part of 60 A; both follow its rating, as its size does. Common practice, no source. */
export interface HeatClass {
  readonly rise_K_W: number;
  readonly capacity_J_K: number;
  readonly limit_C: readonly [value: number, low: number, high: number];
}

/** 1 mΩ at 100 A warms a connector of 60 A by some 50 to 80 K; housings soften from 85 to 120 °C. Common practice, no source. */
export const CONTACT_HEAT: HeatClass = { rise_K_W: 7, capacity_J_K: 8, limit_C: [105, 85, 120] };
/** A semiconductor on a small plate, case limit below its junction's 150 °C. Common practice, no source. */
export const SEMICONDUCTOR_HEAT: HeatClass = { rise_K_W: 4, capacity_J_K: 25, limit_C: [120, 110, 130] };

export function heatDefaults({ rise_K_W, capacity_J_K, limit_C }: HeatClass, rating_A: number): Record<keyof typeof heatFields, Quantity> {
  const size = rating_A / 60;
  return {
    thermalResistance: classDefaultTimes('thermal resistance', rise_K_W / size, 0.5, 2),
    heatCapacity: classDefaultTimes('heat capacity', capacity_J_K * size, 0.5, 2),
    limitTemperature: classDefault('temperature', ...limit_C),
  };
}
