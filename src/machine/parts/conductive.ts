import { classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { heatDefaults, heatFields, SEMICONDUCTOR_HEAT } from './heat-fields.ts';

/** A joint in a lead: splice, lug, screw or spring terminal. */
export const JOINT = defineKind({
  kind: 'joint',
  letter: 'X',
  name: 'a joint',
  meaning: 'A joint in a lead: splice, lug, screw terminal.',
  terminals: 'through',
  symbol: 'joint',
  failureModes: ['open', 'drifted', 'reversed'],
  fields: {
    form: { type: 'choice', options: ['splice', 'lug', 'screw terminal'], meaning: 'What it is; a splice when left out. Lugs and screw terminals can be connected the wrong way round.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [1e-5, 0.01], example: '0.1 mΩ', meaning: 'Resistance, out and back together.' },
    retention: { type: 'text', meaning: 'What keeps it together: heat-shrink, strain relief, torque.' },
  },
  // Common practice, no source: a good crimp or splice 0.1 mΩ.
  defaults: () => ({ resistance: classDefaultTimes('resistance', 1e-4, 0.5, 3) }),
  sources: { resistance: COMMON_PRACTICE },
});

/** A fuse; here its cold resistance, its limits for later questions. */
export const FUSE = defineKind({
  kind: 'fuse',
  letter: 'F',
  name: 'a fuse',
  meaning: 'A melting fuse.',
  terminals: 'through',
  symbol: 'fuse',
  failureModes: ['open'],
  fields: {
    rating: { type: 'quantity', dimension: 'current', above: 0, likely: [1, 500], required: true, example: '150 A', meaning: 'Rated current.' },
    voltage: { type: 'quantity', dimension: 'voltage', above: 0, example: '80 V', meaning: 'Rated DC voltage.' },
    breakingCapacity: { type: 'quantity', dimension: 'current', above: 0, example: '2 kA', meaning: 'Largest current that it interrupts at its rated voltage.' },
    class: { type: 'choice', options: ['blade', 'blade high-current', 'bolt-in large', 'bolt-in medium'], meaning: 'Body, which decides its operating times.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '0.5 mΩ', meaning: 'Cold resistance.' },
    melting: { type: 'quantity', dimension: 'let-through', above: 0, example: '12000 A²s', meaning: 'Melting let-through (pre-arcing I²t) for short pulses, from its datasheet.' },
  },
  // Common practice, no source: about 70 mV at rated current; fuses of 60 to 100 A melt at 10³ to 10⁵ A²s, growing with
  // the square of the rating.
  defaults: (given) => ({
    resistance: classDefaultTimes('resistance', 0.07 / given.rating.value, 0.85, 1.7),
    melting: classDefaultTimes('let-through', 1.6 * given.rating.value ** 2, 0.18, 6),
  }),
  sources: { resistance: COMMON_PRACTICE, melting: COMMON_PRACTICE },
});

/** A resistor: of a soft start, a bleed, a brake. */
export const RESISTOR = defineKind({
  kind: 'resistor',
  letter: 'R',
  name: 'a resistor',
  meaning: 'A resistor.',
  terminals: 'through',
  symbol: 'resistor',
  failureModes: ['open', 'short', 'drifted'],
  fields: {
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [0.1, 100_000], required: true, example: '33 Ω ±5 %', meaning: 'Resistance.' },
    power: { type: 'quantity', dimension: 'power', above: 0, likely: [0.1, 500], example: '10 W', meaning: 'Rated power.' },
    construction: { type: 'choice', options: ['cement wirewound', 'aluminium-clad wirewound', 'film'], meaning: 'How it is made, which decides what a pulse does to it.' },
    pulse: { type: 'quantity', dimension: 'energy', above: 0, example: '60 J', meaning: 'Energy that one short pulse may hold.' },
  },
  defaults: () => ({}),
  sources: {},
});

/** A resistor from a place to its return that drains capacitors. */
export const BLEED = defineKind({
  kind: 'bleed',
  letter: 'R',
  name: 'a bleed resistor',
  meaning: 'A resistor from a place to the return that drains capacitors after switch-off.',
  terminals: ['+', '-'],
  symbol: 'resistor',
  failureModes: ['open', 'short'],
  fields: {
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [50, 1e6], required: true, example: '4.7 kΩ', meaning: 'Resistance.' },
    power: { type: 'quantity', dimension: 'power', above: 0, example: '0.5 W', meaning: 'Rated power.' },
  },
  defaults: () => ({}),
  sources: {},
});

/** A blocking diode. */
export const DIODE = defineKind({
  kind: 'diode',
  letter: 'R',
  name: 'a blocking diode',
  meaning: 'A blocking diode; current flows in the direction of its chain.',
  terminals: 'through',
  symbol: 'diode',
  failureModes: ['open', 'short', 'leaky', 'reversed'],
  fields: {
    type: { type: 'choice', options: ['silicon', 'schottky'], meaning: 'Junction.' },
    rating: { type: 'quantity', dimension: 'current', above: 0, required: true, example: '100 A', meaning: 'Rated average current.' },
    forwardDrop: { type: 'quantity', dimension: 'voltage', above: 0, likely: [0.2, 1.8], example: '0.5 V', meaning: 'Voltage at a third of its rated current.' },
    blocking: { type: 'quantity', dimension: 'voltage', above: 0, example: '45 V', meaning: 'Largest reverse voltage.' },
    leakage: { type: 'quantity', dimension: 'current', atLeast: 0, example: '0.1 mA', meaning: 'What it passes backwards at 25 °C and the voltage of the pack, from its datasheet; when left out, 20 µA (Schottky) or 0.5 µA (silicon) for each ampere of its rating.' },
    ...heatFields,
  },
  defaults: (given) => ({
    // Common practice, no source.
    forwardDrop: given.type === 'schottky' ? classDefaultTimes('voltage', 0.5, 0.7, 1.3) : classDefaultTimes('voltage', 0.9, 0.85, 1.2),
    ...heatDefaults(SEMICONDUCTOR_HEAT, given.rating.value),
  }),
  sources: { forwardDrop: COMMON_PRACTICE, thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE },
});

export type Joint = PartOf<'joint', typeof JOINT.fields>;
export type Fuse = PartOf<'fuse', typeof FUSE.fields>;
export type Resistor = PartOf<'resistor', typeof RESISTOR.fields>;
export type Bleed = PartOf<'bleed', typeof BLEED.fields>;
export type Diode = PartOf<'diode', typeof DIODE.fields>;
