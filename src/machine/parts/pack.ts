import { exact } from '../../quantity/quantity.ts';
import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { heatFields } from './heat-fields.ts';

/** What a finished pack holds for its mass, Wh/kg, at 3.7 V a cell (3.2 V for lfp). Common practice, no source. */
const PACK_WH_KG = { lipo: 150, nca: 190, nmc: 180, lfp: 100 } as const;
/** Specific heat of lithium cells, J/(kg·K): 800 to 1100 in publications, from memory. */
const CELL_HEAT_J_KGK = 1000;
/** A wrapped pack takes about an hour to cool. Common practice, no source. */
const COOLING_S = 2400;

/** A battery pack: cells in series (and parallel), charge, resistance. */
export const PACK = defineKind({
  kind: 'pack',
  letter: 'G',
  name: 'a pack',
  meaning: 'A battery pack.',
  terminals: ['+', '-'],
  symbol: 'battery',
  failureModes: ['open', 'drifted'],
  fields: {
    chemistry: { type: 'choice', options: ['lipo', 'nca', 'nmc', 'lfp'], required: true, meaning: 'Cell chemistry; Li-ion round cells are nca or nmc.' },
    cells: { type: 'quantity', dimension: 'count', atLeast: 1, atMost: 60, likely: [1, 20], required: true, example: '10', meaning: 'Cells in series.' },
    parallel: { type: 'quantity', dimension: 'count', atLeast: 1, atMost: 200, example: '3', meaning: 'Cells in parallel in each of them.' },
    capacity: { type: 'quantity', dimension: 'charge', above: 0, likely: [360, 720_000], required: true, example: '8 Ah', meaning: 'Capacity of the whole pack.' },
    cellResistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [0.0002, 0.1], example: '1.6 mΩ', meaning: 'Resistance of one cell as a charger or meter shows it; for cells in parallel, of one of them.' },
    charge: { type: 'quantity', dimension: 'ratio', atLeast: 0, atMost: 1, example: '100 %', meaning: 'State of charge when the procedure starts.' },
    fullVoltage: { type: 'quantity', dimension: 'voltage', above: 0, perCell: true, example: '4.2 V per cell', meaning: 'Voltage when full, at rest.' },
    labelRate: { type: 'quantity', dimension: 'ratio', above: 0, example: '60', meaning: 'The C number on the label; an upper bound, never physics.' },
    mass: { type: 'quantity', dimension: 'mass', above: 0, example: '1.9 kg', meaning: 'Mass.' },
    temperature: { type: 'quantity', dimension: 'temperature', atLeast: -30, atMost: 70, match: true, example: '25 °C', meaning: 'Its temperature when the match starts.' },
    weakestCapacity: { type: 'quantity', dimension: 'ratio', above: 0.3, atMost: 1, match: true, example: '95 %', meaning: 'Capacity of its weakest cell over the mean.' },
    weakestResistance: { type: 'quantity', dimension: 'ratio', atLeast: 1, atMost: 10, match: true, example: '1.2', meaning: 'Resistance of its weakest cell over the mean.' },
    ...heatFields,
  },
  defaults: (given) => {
    const perCell_V = given.chemistry === 'lfp' ? 3.2 : 3.7;
    const mass_kg = given.mass?.value ?? (given.cells.value * perCell_V * given.capacity.value) / 3600 / PACK_WH_KG[given.chemistry];
    const heatCapacity = classDefaultTimes('heat capacity', CELL_HEAT_J_KGK * mass_kg, given.mass === undefined ? 0.7 : 0.85, given.mass === undefined ? 1.4 : 1.15);
    return {
      parallel: exact('count', 1, 'class default'),
      charge: exact('ratio', 1, 'class default'),
      // Common practice, no source: a healthy high-rate pouch cell has 8 mΩ·Ah over ten seconds, of which a charger shows
      // two thirds; Li-ion round cells 18 to 25 mΩ each; large LFP cells 0.7 mΩ at 60 Ah.
      cellResistance:
        given.chemistry === 'lipo'
          ? classDefaultTimes('resistance', 5.3e-3 / (given.capacity.value / 3600), 0.6, 2.5)
          : given.chemistry === 'lfp'
            ? classDefaultTimes('resistance', 0.042 / (given.capacity.value / 3600), 0.6, 1.8)
            : classDefaultTimes('resistance', 0.02, 0.7, 1.7),
      temperature: classDefault('temperature', 25, 10, 40),
      weakestCapacity: classDefault('ratio', 0.95, 0.88, 0.99),
      weakestResistance: classDefault('ratio', 1.2, 1.05, 1.8),
      heatCapacity,
      thermalResistance: classDefaultTimes('thermal resistance', COOLING_S / heatCapacity.value, 0.5, 2),
      limitTemperature: exact('temperature', 60, 'class default'),
    };
  },
  sources: {
    parallel: COMMON_PRACTICE, charge: COMMON_PRACTICE, cellResistance: COMMON_PRACTICE, temperature: COMMON_PRACTICE, weakestCapacity: COMMON_PRACTICE,
    weakestResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, thermalResistance: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE,
  },
});

export type Pack = PartOf<'pack', typeof PACK.fields>;
