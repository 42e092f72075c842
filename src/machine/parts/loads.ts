import { exact } from '../../quantity/quantity.ts';
import { classCurve, classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';

/** A capacitor bank outside a controller. */
export const CAPACITORS = defineKind({
  kind: 'capacitors',
  letter: 'C',
  name: 'a capacitor bank',
  meaning: 'A capacitor bank from a place to its return.',
  terminals: ['+', '-'],
  symbol: 'capacitor',
  failureModes: ['open', 'short', 'drifted'],
  fields: {
    capacitance: { type: 'quantity', dimension: 'capacitance', above: 0, likely: [1e-7, 0.5], required: true, example: '2.2 mF ±20 %', meaning: 'Capacitance.' },
    seriesResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '10 mΩ', meaning: 'Equivalent series resistance.' },
    voltage: { type: 'quantity', dimension: 'voltage', above: 0, example: '63 V', meaning: 'Rated voltage.' },
  },
  defaults: (given) => ({ seriesResistance: classDefaultTimes('resistance', classCurve(BANK_SERIES_OHM, given.capacitance.value), 0.5, 3) }),
  sources: { seriesResistance: COMMON_PRACTICE },
});

/** Common practice, no source: total series resistance of a bank against its capacitance. */
const BANK_SERIES_OHM = [
  [1e-5, 0.2],
  [1e-4, 0.08],
  [5e-4, 0.04],
  [1e-3, 0.015],
  [3e-3, 0.006],
  [6e-3, 0.002],
] as const;

/** Common practice, no source: input capacitance of a motor controller against its rated motor current. */
const CONTROLLER_BANK_F = [
  [5, 1e-4],
  [30, 4.7e-4],
  [100, 1e-3],
  [175, 1.5e-3],
  [300, 6.5e-3],
] as const;

/** A motor controller: input capacitors, logic that draws standby current, limits. */
export const CONTROLLER = defineKind({
  kind: 'controller',
  letter: 'T',
  name: 'a motor controller',
  meaning: 'A motor controller.',
  terminals: ['+', '-'],
  symbol: 'controller',
  failureModes: ['open', 'short', 'lost return'],
  fields: {
    motorCurrent: { type: 'quantity', dimension: 'current', above: 0, likely: [1, 1000], required: true, example: '120 A', meaning: 'Motor current limit or rating.' },
    batteryCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '80 A', meaning: 'Battery current limit.' },
    capacitance: { type: 'quantity', dimension: 'capacitance', above: 0, likely: [1e-5, 0.05], example: '2 mF ±20 %', meaning: 'Input capacitors together.' },
    seriesResistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [1e-4, 1], example: '10 mΩ', meaning: 'Equivalent series resistance of the input capacitors together.' },
    standby: { type: 'quantity', dimension: 'current', atLeast: 0, likely: [0, 1], example: '45 mA', meaning: 'What its logic draws when awake and idle.' },
    logicStart: { type: 'quantity', dimension: 'voltage', above: 0, example: '8 V', meaning: 'Voltage above which its logic is awake.' },
    regeneration: { type: 'quantity', dimension: 'current', atLeast: 0, example: '20 A', meaning: 'Largest current that it feeds back.' },
    tripVoltage: { type: 'quantity', dimension: 'voltage', above: 0, example: '52 V', meaning: 'Voltage at which it stops itself.' },
    absoluteVoltage: { type: 'quantity', dimension: 'voltage', above: 0, example: '60 V', meaning: 'Voltage that it must never see.' },
    drives: { type: 'part', kinds: ['motor'], meaning: 'The motor on it.' },
    radioSupply: { type: 'choice', options: ['none', 'linear', 'switching'], meaning: 'Its own supply for the radio, and of which sort.' },
    mass: { type: 'quantity', dimension: 'mass', above: 0, example: '0.2 kg', meaning: 'Mass.' },
  },
  defaults: (given) => {
    const capacitance = classDefaultTimes('capacitance', classCurve(CONTROLLER_BANK_F, given.motorCurrent.value), 0.5, 2.2);
    return {
      capacitance,
      seriesResistance: classDefaultTimes('resistance', classCurve(BANK_SERIES_OHM, (given.capacitance ?? capacitance).value), 0.5, 3),
      // Common practice, no source.
      standby: classDefault('current', 0.03, 0.01, 0.12),
      logicStart: classDefault('voltage', 6, 5, 10),
    };
  },
  sources: { capacitance: COMMON_PRACTICE, seriesResistance: COMMON_PRACTICE, standby: COMMON_PRACTICE, logicStart: COMMON_PRACTICE },
});

/** A motor; in a power-up only what hangs on a controller. */
export const MOTOR = defineKind({
  kind: 'motor',
  letter: 'M',
  name: 'a motor',
  meaning: 'A motor.',
  terminals: [],
  symbol: 'motor',
  failureModes: ['open', 'short'],
  fields: {
    torqueConstant: { type: 'quantity', dimension: 'torque per current', above: 0, example: '0.025 Nm/A', meaning: 'Torque per ampere.' },
    speedConstant: { type: 'quantity', dimension: 'turns per volt', above: 0, example: '1100 rpm/V', meaning: 'Speed per volt; give this or the torque per ampere.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '20 mΩ', meaning: 'Winding resistance between its leads.' },
    drives: { type: 'text', meaning: 'What it moves.' },
    gearing: { type: 'quantity', dimension: 'ratio', above: 0, example: '14', meaning: 'Turns of the motor per turn of what it moves.' },
    mass: { type: 'quantity', dimension: 'mass', above: 0, example: '0.8 kg', meaning: 'Mass.' },
  },
  defaults: () => ({}),
  sources: {},
});

/** A DC-DC converter. */
export const CONVERTER = defineKind({
  kind: 'converter',
  letter: 'T',
  name: 'a DC-DC converter',
  meaning: 'A DC-DC converter: draws constant power once started.',
  terminals: ['+', '-', 'out'],
  symbol: 'converter',
  failureModes: ['open', 'short', 'lost return'],
  fields: {
    output: { type: 'quantity', dimension: 'voltage', above: 0, required: true, example: '12 V', meaning: 'Output voltage.' },
    outputCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '5 A', meaning: 'Largest output current.' },
    running: { type: 'quantity', dimension: 'power', atLeast: 0, likely: [0, 500], example: '7 W', meaning: 'Power that it draws once started, with what hangs on it.' },
    start: { type: 'quantity', dimension: 'voltage', above: 0, example: '9 V', meaning: 'Input voltage at which it starts.' },
    stop: { type: 'quantity', dimension: 'voltage', above: 0, example: '7.5 V', meaning: 'Input voltage at which it stops.' },
    inputMaximum: { type: 'quantity', dimension: 'voltage', above: 0, example: '60 V', meaning: 'Largest input voltage.' },
    electrolytic: { type: 'quantity', dimension: 'capacitance', atLeast: 0, example: '100 µF', meaning: 'Electrolytic capacitors at its input.' },
    electrolyticResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '0.25 Ω', meaning: 'Series resistance of them.' },
    ceramic: { type: 'quantity', dimension: 'capacitance', atLeast: 0, example: '22 µF', meaning: 'Ceramic capacitors at its input.' },
    efficiency: { type: 'quantity', dimension: 'ratio', above: 0, atMost: 1, example: '85 %', meaning: 'Output power over input power.' },
    waitsFor: { type: 'part', kinds: ['isolator', 'link', 'contactor', 'solid-state switch'], meaning: 'Held off (by its enable input) until this is closed directly.' },
  },
  defaults: (given) => ({
    // Common practice, no source. A converter stops a little below where it starts.
    start: classDefault('voltage', 8, 6, 20),
    stop: classDefaultTimes('voltage', 0.87 * (given.start?.value ?? 8), 0.75, 1.08),
    electrolytic: classDefault('capacitance', 68e-6, 47e-6, 100e-6),
    electrolyticResistance: classDefaultTimes('resistance', 0.25, 0.5, 2),
    ceramic: classDefault('capacitance', 15e-6, 10e-6, 22e-6),
    efficiency: classDefault('ratio', 0.85, 0.7, 0.93),
  }),
  sources: {
    start: COMMON_PRACTICE, stop: COMMON_PRACTICE, electrolytic: COMMON_PRACTICE, electrolyticResistance: COMMON_PRACTICE,
    ceramic: COMMON_PRACTICE, efficiency: COMMON_PRACTICE,
  },
});

/** A linear regulator. */
export const REGULATOR = defineKind({
  kind: 'regulator',
  letter: 'T',
  name: 'a linear regulator',
  meaning: 'A linear regulator: draws the current of what hangs on it.',
  terminals: ['+', '-', 'out'],
  symbol: 'regulator',
  failureModes: ['open', 'short'],
  fields: {
    output: { type: 'quantity', dimension: 'voltage', above: 0, required: true, example: '5 V', meaning: 'Output voltage.' },
    dropOut: { type: 'quantity', dimension: 'voltage', above: 0, example: '1.5 V', meaning: 'Voltage that it needs across itself.' },
    idle: { type: 'quantity', dimension: 'current', atLeast: 0, example: '5 mA', meaning: 'Own current.' },
  },
  defaults: () => ({ dropOut: classDefault('voltage', 1.5, 1, 2.5), idle: classDefault('current', 0.005, 0.002, 0.01) }),
  sources: { dropOut: COMMON_PRACTICE, idle: COMMON_PRACTICE },
});

/** A radio receiver. */
export const RECEIVER = defineKind({
  kind: 'receiver',
  letter: 'K',
  name: 'a receiver',
  meaning: 'The radio receiver.',
  terminals: ['+', '-'],
  symbol: 'receiver',
  failureModes: ['open', 'lost return'],
  fields: {
    current: { type: 'quantity', dimension: 'current', above: 0, example: '90 mA', meaning: 'What it draws.' },
    reset: { type: 'quantity', dimension: 'voltage', above: 0, example: '3.5 V', meaning: 'Rail voltage below which it resets.' },
    comeBack: { type: 'quantity', dimension: 'time', above: 0, example: '1.5 s', meaning: 'Time until it is linked again.' },
  },
  defaults: () => ({
    current: classDefault('current', 0.09, 0.05, 0.15),
    reset: classDefault('voltage', 3.4, 2.8, 3.9),
    comeBack: classDefault('time', 1.5, 0.3, 4),
  }),
  sources: { current: COMMON_PRACTICE, reset: COMMON_PRACTICE, comeBack: COMMON_PRACTICE },
});

/** A servo. */
export const SERVO = defineKind({
  kind: 'servo',
  letter: 'M',
  name: 'a servo',
  meaning: 'A servo.',
  terminals: ['+', '-'],
  symbol: 'servo',
  failureModes: ['open', 'short'],
  fields: {
    idle: { type: 'quantity', dimension: 'current', atLeast: 0, example: '20 mA', meaning: 'What it draws at rest.' },
    stall: { type: 'quantity', dimension: 'current', above: 0, example: '2.5 A', meaning: 'What it draws when stalled.' },
  },
  defaults: () => ({ idle: classDefault('current', 0.02, 0.005, 0.05), stall: classDefaultTimes('current', 1.5, 0.6, 2.5) }),
  sources: { idle: COMMON_PRACTICE, stall: COMMON_PRACTICE },
});

/** An indicator lamp: an LED with its resistor. */
export const LAMP = defineKind({
  kind: 'lamp',
  letter: 'P',
  name: 'an indicator lamp',
  meaning: 'An indicator lamp: a light-emitting diode with its resistor.',
  terminals: ['+', '-'],
  symbol: 'lamp',
  failureModes: ['open', 'short'],
  fields: {
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [10, 100_000], required: true, example: '8.2 kΩ', meaning: 'Series resistor.' },
    forwardDrop: { type: 'quantity', dimension: 'voltage', above: 0, example: '2 V', meaning: 'Voltage at which it lights.' },
  },
  defaults: () => ({ forwardDrop: exact('voltage', 2, 'class default') }),
  sources: { forwardDrop: COMMON_PRACTICE },
});

export type Capacitors = PartOf<'capacitors', typeof CAPACITORS.fields>;
export type Controller = PartOf<'controller', typeof CONTROLLER.fields>;
export type Motor = PartOf<'motor', typeof MOTOR.fields>;
export type Converter = PartOf<'converter', typeof CONVERTER.fields>;
export type Regulator = PartOf<'regulator', typeof REGULATOR.fields>;
export type Receiver = PartOf<'receiver', typeof RECEIVER.fields>;
export type Servo = PartOf<'servo', typeof SERVO.fields>;
export type Lamp = PartOf<'lamp', typeof LAMP.fields>;
