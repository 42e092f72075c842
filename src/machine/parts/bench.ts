import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { heatFields } from './heat-fields.ts';

/** A bench supply in a pack's place. */
export const BENCH_SUPPLY = defineKind({
  kind: 'bench supply',
  letter: 'G',
  name: 'a bench supply',
  meaning: 'A bench supply with a current limit; it cannot take current back.',
  terminals: ['+', '-'],
  symbol: 'supply',
  failureModes: ['open'],
  fields: {
    voltage: { type: 'quantity', dimension: 'voltage', above: 0, required: true, example: '24 V', meaning: 'Set voltage.' },
    limit: { type: 'quantity', dimension: 'current', above: 0, required: true, example: '2 A', meaning: 'Set current limit.' },
  },
  defaults: () => ({}),
  sources: {},
});

/** Anything else that draws: a fan, a camera, a light. */
export const PLAIN_LOAD = defineKind({
  kind: 'load',
  letter: 'E',
  name: 'a plain load',
  meaning: 'Anything else that draws: give its power, its current or its resistance.',
  terminals: ['+', '-'],
  symbol: 'load',
  failureModes: ['open', 'short'],
  fields: {
    power: { type: 'quantity', dimension: 'power', above: 0, example: '20 W', meaning: 'Constant power that it draws once started.' },
    current: { type: 'quantity', dimension: 'current', above: 0, example: '0.5 A', meaning: 'Constant current that it draws above its start voltage.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '47 Ω', meaning: 'Resistance, when it is nothing but one.' },
    start: { type: 'quantity', dimension: 'voltage', above: 0, example: '9 V', meaning: 'Voltage at which it starts.' },
    stop: { type: 'quantity', dimension: 'voltage', above: 0, example: '7.5 V', meaning: 'Voltage at which it stops.' },
    isolatedBy: { type: 'part', kinds: ['isolator', 'link', 'connector', 'contactor', 'solid-state switch'], meaning: 'The switch that is meant to keep it dead when open, where the wiring alone does not say so.' },
  },
  defaults: (given) => ({
    start: classDefault('voltage', 6, 3, 10),
    stop: classDefault('voltage', 0.85 * (given.start?.value ?? 6), 0.6 * (given.start?.value ?? 6), 0.97 * (given.start?.value ?? 6)),
  }),
  sources: { start: COMMON_PRACTICE, stop: COMMON_PRACTICE },
});

/** A resistor that a controller switches on when braking lifts the bus. */
export const BRAKE_RESISTOR = defineKind({
  kind: 'brake resistor',
  letter: 'R',
  name: 'a brake resistor',
  meaning: 'A resistor with its own switch that turns braking energy to heat above a voltage.',
  terminals: ['+', '-'],
  symbol: 'resistor',
  failureModes: ['open', 'short'],
  fields: {
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, required: true, example: '10 Ω', meaning: 'Resistance.' },
    power: { type: 'quantity', dimension: 'power', above: 0, example: '50 W', meaning: 'Rated power.' },
    on: { type: 'quantity', dimension: 'voltage', above: 0, required: true, example: '62 V', meaning: 'Voltage above which it is switched on.' },
    off: { type: 'quantity', dimension: 'voltage', above: 0, example: '60 V', meaning: 'Voltage below which it is switched off.' },
    ...heatFields,
  },
  defaults: (given) => {
    const power_W = given.power?.value ?? 50;
    return {
      off: classDefault('voltage', 0.97 * given.on.value, 0.94 * given.on.value, 0.99 * given.on.value),
      // At its rated power a wirewound stands some 200 K over the air; it holds about 1 J/K for each rated watt. Common practice, no source.
      thermalResistance: classDefaultTimes('thermal resistance', 200 / power_W, 0.6, 1.6),
      heatCapacity: classDefaultTimes('heat capacity', power_W, 0.5, 2.5),
      limitTemperature: classDefault('temperature', 250, 200, 300),
    };
  },
  sources: { off: COMMON_PRACTICE, thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE },
});

export type BenchSupply = PartOf<'bench supply', typeof BENCH_SUPPLY.fields>;
export type PlainLoad = PartOf<'load', typeof PLAIN_LOAD.fields>;
export type BrakeResistor = PartOf<'brake resistor', typeof BRAKE_RESISTOR.fields>;
