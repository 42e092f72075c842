import { exact } from '../../quantity/quantity.ts';
import { classCurve, classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { heatFields } from './heat-fields.ts';

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

/** What a controller does while it drives. Common practice, no source. */
function drivingDefaults(motor_A: number, start_V: number) {
  return {
    efficiency: classDefault('ratio', 0.95, 0.9, 0.98),
    cutOut: classDefaultTimes('voltage', 0.85 * start_V, 0.8, 1.1),
    restart: classDefaultTimes('voltage', start_V, 0.9, 1.15),
    bootTime: classDefault('time', 1, 0.2, 4),
    foldBackFrom: classDefault('temperature', 90, 80, 100),
    foldBackEnd: classDefault('temperature', 110, 103, 125),
    // About a gram and a half for each ampere, on a plate or in a stream of air.
    thermalResistance: classDefaultTimes('thermal resistance', 60 / motor_A, 0.4, 2.5),
    heatCapacity: classDefaultTimes('heat capacity', 1.2 * motor_A, 0.5, 2),
  };
}

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
    keySwitch: { type: 'part', kinds: ['isolator', 'link', 'button', 'contactor', 'solid-state switch'], meaning: 'Switch of its key or enable input: its logic draws nothing until this is closed.' },
    keyFrom: { type: 'text', meaning: 'Place or terminal that feeds its logic through its key input; its own + when left out.' },
    waitsFor: { type: 'part', kinds: ['isolator', 'link', 'contactor', 'solid-state switch'], meaning: 'Held off (by its enable input) until this is closed directly.' },
    diodeDrop: { type: 'quantity', dimension: 'voltage', above: 0, likely: [0.3, 2], example: '0.8 V', meaning: 'Forward voltage of one of its transistors\' body diodes: a spinning motor feeds the bus through two of them.' },
    drives: { type: 'part', kinds: ['motor'], meaning: 'The motor on it.' },
    isolatedBy: { type: 'part', kinds: ['isolator', 'link', 'connector', 'contactor', 'solid-state switch'], meaning: 'The switch that is meant to keep it dead when open, where the wiring alone does not say so.' },
    alsoDrives: { type: 'part', kinds: ['motor'], meaning: 'A second motor beside it, which gets the same throttle; the limits of current count for both together.' },
    limitsCurrent: { type: 'flag', meaning: 'Whether it holds its motor current to its limit, which is taken when nothing is said; many made for aircraft do not, and what the motor asks for flows.' },
    braking: { type: 'choice', options: ['coast', 'regenerate'], meaning: 'What it does when the motor turns faster than the throttle asks; `regenerate` is taken where a regeneration current is given.' },
    efficiency: { type: 'quantity', dimension: 'ratio', above: 0.3, atMost: 1, match: true, example: '95 %', meaning: 'Share of the power that passes through it.' },
    cutOut: { type: 'quantity', dimension: 'voltage', above: 0, match: true, example: '7 V', meaning: 'Voltage below which it stops driving.' },
    restart: { type: 'quantity', dimension: 'voltage', above: 0, match: true, example: '8 V', meaning: 'Voltage above which it starts again after that.' },
    bootTime: { type: 'quantity', dimension: 'time', atLeast: 0, atMost: 60, match: true, example: '1 s', meaning: 'Time from there until it drives.' },
    foldBackFrom: { type: 'quantity', dimension: 'temperature', atLeast: 40, atMost: 200, match: true, example: '90 °C', meaning: 'Temperature from which it lets less and less motor current flow.' },
    foldBackEnd: { type: 'quantity', dimension: 'temperature', atLeast: 41, atMost: 250, match: true, example: '110 °C', meaning: 'Temperature at which it lets none flow.' },
    thermalResistance: heatFields.thermalResistance,
    heatCapacity: heatFields.heatCapacity,
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
      diodeDrop: classDefault('voltage', 0.8, 0.6, 1.1),
      ...drivingDefaults(given.motorCurrent.value, (given.logicStart ?? classDefault('voltage', 6, 5, 10)).value),
    };
  },
  sources: {
    efficiency: COMMON_PRACTICE, cutOut: COMMON_PRACTICE, restart: COMMON_PRACTICE, bootTime: COMMON_PRACTICE, foldBackFrom: COMMON_PRACTICE, foldBackEnd: COMMON_PRACTICE,
    thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE,
    capacitance: COMMON_PRACTICE, seriesResistance: COMMON_PRACTICE, standby: COMMON_PRACTICE, logicStart: COMMON_PRACTICE, diodeDrop: COMMON_PRACTICE },
});

/** A DC-DC converter. */
export const CONVERTER = defineKind({
  kind: 'converter',
  letter: 'T',
  name: 'a DC-DC converter',
  meaning: 'A DC-DC converter: draws constant power once started.',
  terminals: ['+', '-', 'out'],
  symbol: 'converter',
  failureModes: ['open', 'short', 'lost return', 'reversed'],
  fields: {
    output: { type: 'quantity', dimension: 'voltage', above: 0, required: true, example: '12 V', meaning: 'Output voltage.' },
    outputCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '5 A', meaning: 'Largest output current.' },
    running: { type: 'quantity', dimension: 'power', atLeast: 0, likely: [0, 500], example: '7 W', meaning: 'Power that it draws once started, with what hangs on it.' },
    start: { type: 'quantity', dimension: 'voltage', above: 0, example: '9 V', meaning: 'Input voltage at which it starts.' },
    stop: { type: 'quantity', dimension: 'voltage', above: 0, example: '7.5 V', meaning: 'Input voltage at which it stops.' },
    inputMaximum: { type: 'quantity', dimension: 'voltage', above: 0, example: '60 V', meaning: 'Largest input voltage.' },
    isolatedBy: { type: 'part', kinds: ['isolator', 'link', 'connector', 'contactor', 'solid-state switch'], meaning: 'The switch that is meant to keep it dead when open, where the wiring alone does not say so.' },
    electrolytic: { type: 'quantity', dimension: 'capacitance', atLeast: 0, example: '100 µF', meaning: 'Electrolytic capacitors at its input.' },
    electrolyticResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '0.25 Ω', meaning: 'Series resistance of them.' },
    ceramic: { type: 'quantity', dimension: 'capacitance', atLeast: 0, example: '22 µF', meaning: 'Ceramic capacitors at its input.' },
    efficiency: { type: 'quantity', dimension: 'ratio', above: 0, atMost: 1, example: '85 %', meaning: 'Output power over input power.' },
    waitsFor: { type: 'part', kinds: ['isolator', 'link', 'contactor', 'solid-state switch'], meaning: 'Held off (by its enable input) until this is closed directly.' },
    holdUp: { type: 'quantity', dimension: 'time', atLeast: 0, atMost: 60, match: true, example: '2 ms', meaning: 'How long its output stands after it has stopped, from the capacitors behind it.' },
  },
  defaults: (given) => ({
    // Common practice, no source. A converter stops a little below where it starts.
    start: classDefault('voltage', 8, 6, 20),
    stop: classDefaultTimes('voltage', 0.87 * (given.start?.value ?? 8), 0.75, 1.08),
    electrolytic: classDefault('capacitance', 68e-6, 47e-6, 100e-6),
    electrolyticResistance: classDefaultTimes('resistance', 0.25, 0.5, 2),
    ceramic: classDefault('capacitance', 15e-6, 10e-6, 22e-6),
    efficiency: classDefault('ratio', 0.85, 0.7, 0.93),
    holdUp: classDefault('time', 2e-3, 0.5e-3, 10e-3),
  }),
  sources: {
    holdUp: COMMON_PRACTICE, start: COMMON_PRACTICE, stop: COMMON_PRACTICE, electrolytic: COMMON_PRACTICE, electrolyticResistance: COMMON_PRACTICE,
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
    recovers: { type: 'quantity', dimension: 'voltage', above: 0, match: true, example: '3.8 V', meaning: 'Rail voltage above which it begins to come back.' },
    bears: { type: 'quantity', dimension: 'time', atLeast: 0, atMost: 10, match: true, example: '5 ms', meaning: 'How long its rail may stay too low before it is lost.' },
  },
  defaults: (given) => ({
    current: classDefault('current', 0.09, 0.05, 0.15),
    reset: classDefault('voltage', 3.4, 2.8, 3.9),
    comeBack: classDefault('time', 1.5, 0.3, 4),
    recovers: classDefaultTimes('voltage', (given.reset?.value ?? 3.4) + 0.3, 0.95, 1.1),
    bears: classDefault('time', 2e-3, 0.2e-3, 10e-3),
  }),
  sources: { recovers: COMMON_PRACTICE, bears: COMMON_PRACTICE, current: COMMON_PRACTICE, reset: COMMON_PRACTICE, comeBack: COMMON_PRACTICE },
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
export type Converter = PartOf<'converter', typeof CONVERTER.fields>;
export type Regulator = PartOf<'regulator', typeof REGULATOR.fields>;
export type Receiver = PartOf<'receiver', typeof RECEIVER.fields>;
export type Servo = PartOf<'servo', typeof SERVO.fields>;
export type Lamp = PartOf<'lamp', typeof LAMP.fields>;
