import { exact } from '../../quantity/quantity.ts';
import { classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';

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
  },
  defaults: (given) => ({
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
  }),
  sources: { parallel: COMMON_PRACTICE, charge: COMMON_PRACTICE, cellResistance: COMMON_PRACTICE },
});

export type Pack = PartOf<'pack', typeof PACK.fields>;
