import { exact } from '../../quantity/quantity.ts';
import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { heatDefaults, heatFields, SEMICONDUCTOR_HEAT } from './heat-fields.ts';

const HEAT_SOURCES = { thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE } as const;

/** A pack's own protection: opens on too much current for too long. */
export const PROTECTION = defineKind({
  kind: 'protection',
  letter: 'F',
  name: 'a battery protection',
  meaning: 'Battery protection in the discharge path: opens when the current stays too high for too long.',
  terminals: 'through',
  symbol: 'protection',
  failureModes: ['open', 'short'],
  fields: {
    rating: { type: 'quantity', dimension: 'current', above: 0, likely: [1, 1000], required: true, example: '60 A', meaning: 'Current that it carries for long.' },
    overCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '90 A', meaning: 'Current at which its slow trip begins to count.' },
    overDelay: { type: 'quantity', dimension: 'time', above: 0, example: '5 s', meaning: 'How long that may last.' },
    shortCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '180 A', meaning: 'Current at which its fast trip begins to count.' },
    shortDelay: { type: 'quantity', dimension: 'time', above: 0, example: '300 µs', meaning: 'How long that may last.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '1 mΩ', meaning: 'Resistance while it conducts.' },
    revives: { type: 'choice', options: ['by itself', 'by the charger', 'by reconnecting'], meaning: 'How it is brought back after a trip.' },
  },
  defaults: (given) => ({
    overCurrent: classDefaultTimes('current', 1.5 * given.rating.value, 0.8, 1.5),
    overDelay: classDefault('time', 3, 1, 10),
    shortCurrent: classDefaultTimes('current', 3 * given.rating.value, 0.6, 2),
    shortDelay: classDefault('time', 300e-6, 100e-6, 500e-6),
    resistance: classDefaultTimes('resistance', 0.06 / given.rating.value, 0.5, 2),
  }),
  sources: { overCurrent: COMMON_PRACTICE, overDelay: COMMON_PRACTICE, shortCurrent: COMMON_PRACTICE, shortDelay: COMMON_PRACTICE, resistance: COMMON_PRACTICE },
});

/** A disc of ceramic whose resistance falls as it warms. */
export const INRUSH_LIMITER = defineKind({
  kind: 'inrush limiter',
  letter: 'R',
  name: 'an inrush limiter',
  meaning: 'An inrush limiter: a resistor whose value falls as its own heat warms it.',
  terminals: 'through',
  symbol: 'limiter',
  failureModes: ['open', 'short', 'drifted'],
  fields: {
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [0.1, 500], required: true, example: '10 Ω ±20 %', meaning: 'Resistance at 25 °C.' },
    rating: { type: 'quantity', dimension: 'current', above: 0, example: '5 A', meaning: 'Largest steady current.' },
    steepness: { type: 'quantity', dimension: 'temperature rise', above: 0, example: '3000 K', meaning: 'B constant: how steeply it falls.' },
    heatCapacity: { type: 'quantity', dimension: 'heat capacity', above: 0, example: '1.5 J/K', meaning: 'Heat that warms it by one kelvin.' },
    dissipation: { type: 'quantity', dimension: 'thermal resistance', above: 0, example: '60 K/W', meaning: 'Rise over its surroundings for each watt.' },
  },
  defaults: () => ({
    steepness: classDefaultTimes('temperature rise', 3000, 0.9, 1.1),
    heatCapacity: classDefault('heat capacity', 1.5, 0.5, 4),
    dissipation: classDefault('thermal resistance', 60, 40, 90),
  }),
  sources: { steepness: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, dissipation: COMMON_PRACTICE },
});

/** A module of transistors that lets current through one way only, with very little loss. */
export const IDEAL_DIODE = defineKind({
  kind: 'ideal diode',
  letter: 'R',
  name: 'an ideal-diode module',
  meaning: 'An ideal-diode module: a transistor that conducts in the direction of its chain only.',
  terminals: 'through',
  symbol: 'ideal diode',
  failureModes: ['open', 'short', 'reversed'],
  fields: {
    rating: { type: 'quantity', dimension: 'current', above: 0, required: true, example: '60 A', meaning: 'Rated current.' },
    onResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '1 mΩ', meaning: 'Resistance while it conducts.' },
    blocking: { type: 'quantity', dimension: 'voltage', above: 0, example: '80 V', meaning: 'Largest reverse voltage.' },
    leakage: { type: 'quantity', dimension: 'current', atLeast: 0, example: '10 µA', meaning: 'What it passes backwards at 25 °C and the voltage of the pack, from its datasheet; 10 µA when left out.' },
    ...heatFields,
  },
  defaults: (given) => ({ onResistance: classDefaultTimes('resistance', 0.06 / given.rating.value, 0.5, 2), ...heatDefaults(SEMICONDUCTOR_HEAT, given.rating.value) }),
  sources: { onResistance: COMMON_PRACTICE, ...HEAT_SOURCES },
});

/** A switch of transistors with a controlled ramp. */
export const SOLID_STATE_SWITCH = defineKind({
  kind: 'solid-state switch',
  letter: 'Q',
  name: 'a solid-state switch',
  meaning: 'A switch of transistors that lets its output rise over a set time; it fails closed, so it never counts as the isolator.',
  terminals: 'through',
  symbol: 'solid-state switch',
  failureModes: ['open', 'short'],
  fields: {
    rating: { type: 'quantity', dimension: 'current', above: 0, required: true, example: '60 A', meaning: 'Current that it carries for long.' },
    onResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '0.6 mΩ', meaning: 'Resistance when fully on, all dies together.' },
    ramp: { type: 'quantity', dimension: 'time', above: 1e-6, atMost: 60, example: '40 ms', meaning: 'Time over which its output rises to the pack.' },
    dies: { type: 'quantity', dimension: 'count', atLeast: 1, atMost: 64, example: '2', meaning: 'Transistors in parallel; during the ramp one of them carries it all.' },
    dieEnergy: { type: 'quantity', dimension: 'energy', above: 0, example: '2 J', meaning: 'Energy that one die may turn to heat during one ramp, from its safe operating area.' },
    absoluteVoltage: { type: 'quantity', dimension: 'voltage', above: 0, example: '100 V', meaning: 'Largest voltage across it.' },
    ...heatFields,
  },
  defaults: (given) => ({
    onResistance: classDefaultTimes('resistance', 0.06 / given.rating.value, 0.5, 2),
    ramp: classDefault('time', 0.02, 0.002, 0.1),
    dies: exact('count', 2, 'class default'),
    dieEnergy: classDefault('energy', 1, 0.3, 3),
    ...heatDefaults(SEMICONDUCTOR_HEAT, given.rating.value),
  }),
  sources: { onResistance: COMMON_PRACTICE, ramp: COMMON_PRACTICE, dies: COMMON_PRACTICE, dieEnergy: COMMON_PRACTICE, ...HEAT_SOURCES },
});

export type Protection = PartOf<'protection', typeof PROTECTION.fields>;
export type InrushLimiter = PartOf<'inrush limiter', typeof INRUSH_LIMITER.fields>;
export type IdealDiode = PartOf<'ideal diode', typeof IDEAL_DIODE.fields>;
export type SolidStateSwitch = PartOf<'solid-state switch', typeof SOLID_STATE_SWITCH.fields>;
