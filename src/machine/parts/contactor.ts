import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import { CONTACT_HEAT, heatDefaults, heatFields } from './heat-fields.ts';

/** The standard lets a DC coil close from 85 % of its rated voltage and drop out anywhere between 75 and 10 %. */
const LIMITS_OF_OPERATION = 'IEC 60947-4-1:2018, 8.2.1.2 (from memory), and within its limits common practice, no source';

/** Rated voltage of a coil of which nothing is known, V. */
const USUAL_COIL_V = 24;

/** A contactor with a coil, and perhaps its own soft start. */
export const CONTACTOR = defineKind({
  kind: 'contactor',
  letter: 'K',
  name: 'a contactor',
  meaning: 'A contactor: a coil closes it; with a soft start of its own, a relay first leads through a resistor.',
  terminals: 'through',
  symbol: 'contactor',
  failureModes: ['open', 'welded', 'stuck'],
  fields: {
    rating: { type: 'quantity', dimension: 'current', above: 0, likely: [5, 1000], required: true, example: '200 A', meaning: 'Current that it carries for long.' },
    closedResistance: { type: 'quantity', dimension: 'resistance', above: 0, example: '0.35 mΩ', meaning: 'Resistance when closed.' },
    makeCurrent: { type: 'quantity', dimension: 'current', above: 0, example: '1000 A', meaning: 'Largest current that it may close on.' },
    metal: { type: 'choice', options: ['copper', 'silver', 'tin', 'gold'], meaning: 'Metal of its contacts.' },
    forceRise: { type: 'quantity', dimension: 'time', above: 1e-6, atMost: 1, example: '0.5 ms', meaning: 'Time over which its contact force builds up.' },
    bounce: { type: 'quantity', dimension: 'time', atLeast: 0, atMost: 0.1, example: '1 ms', meaning: 'How long its first bounce parts the contacts; each later one half of it.' },
    softStart: { type: 'part', kinds: ['resistor'], meaning: 'Resistor of its own soft start, which its relay closes first.' },
    timer: { type: 'quantity', dimension: 'time', above: 0, atMost: 60, example: '2 s', meaning: 'How long its soft start lasts before the main contact may close.' },
    threshold: { type: 'quantity', dimension: 'ratio', above: 0, atMost: 1, example: '90 %', meaning: 'Share of the voltage before it that must stand behind it, or the main contact stays open.' },
    coilFrom: { type: 'text', meaning: 'Place or terminal that feeds its coil; without it the coil is taken as fed well from elsewhere.' },
    coilSwitch: { type: 'part', kinds: ['isolator', 'link', 'button'], meaning: 'Switch in its coil\'s feed, such as a key or an emergency stop: while it is open the contactor falls open.' },
    coilVoltage: { type: 'quantity', dimension: 'voltage', above: 0, likely: [3, 120], example: '48 V', meaning: 'Rated voltage of its coil; needed with `coil from`.' },
    coilPower: { type: 'quantity', dimension: 'power', atLeast: 0, example: '12 W', meaning: 'What its coil draws at its rated voltage while it pulls in.' },
    holdPower: { type: 'quantity', dimension: 'power', atLeast: 0, example: '4 W', meaning: 'What its coil draws at its rated voltage afterwards, with an economiser.' },
    economiserDelay: { type: 'quantity', dimension: 'time', above: 0, atMost: 10, example: '0.1 s', meaning: 'Time from its closing until the economiser takes over.' },
    pullIn: { type: 'quantity', dimension: 'voltage', above: 0, example: '34 V', meaning: 'Coil voltage at which it closes.' },
    dropOut: { type: 'quantity', dimension: 'voltage', above: 0, example: '15 V', meaning: 'Coil voltage at which it falls open.' },
    closingTime: { type: 'quantity', dimension: 'time', above: 1e-4, atMost: 1, example: '20 ms', meaning: 'Time from its coil\'s voltage to the first touch.' },
    releaseTime: { type: 'quantity', dimension: 'time', above: 1e-4, atMost: 1, example: '10 ms', meaning: 'How long its coil may lack voltage before its contact parts; a plain diode across the coil makes it long.' },
    ...heatFields,
    mirrorContact: { type: 'flag', meaning: 'Has an auxiliary contact that tells whether the main one is really open: its soft start does not begin on a welded one.' },
  },
  defaults: (given) => {
    const coil_V = given.coilVoltage?.value ?? USUAL_COIL_V;
    const coil_W = given.coilPower?.value ?? 12;
    return {
      closedResistance: classDefaultTimes('resistance', 3e-4, 0.5, 3),
      makeCurrent: classDefaultTimes('current', 5 * given.rating.value, 0.6, 1.6),
      forceRise: classDefault('time', 0.5e-3, 0.2e-3, 1e-3),
      bounce: classDefault('time', 1e-3, 0.3e-3, 2e-3),
      coilVoltage: classDefault('voltage', USUAL_COIL_V, 12, 48),
      coilPower: classDefault('power', 12, 5, 36),
      holdPower: classDefault('power', coil_W, 0.3 * coil_W, coil_W),
      economiserDelay: classDefault('time', 0.1, 0.05, 0.5),
      pullIn: classDefaultTimes('voltage', 0.7 * coil_V, 0.85, 0.85 / 0.7),
      dropOut: classDefaultTimes('voltage', 0.3 * coil_V, 0.1 / 0.3, 0.6 / 0.3),
      closingTime: classDefault('time', 0.02, 0.01, 0.04),
      releaseTime: classDefault('time', 0.012, 0.005, 0.04),
      ...heatDefaults(CONTACT_HEAT, given.rating.value),
    };
  },
  sources: {
    closedResistance: COMMON_PRACTICE, makeCurrent: COMMON_PRACTICE, forceRise: COMMON_PRACTICE, bounce: COMMON_PRACTICE, coilVoltage: COMMON_PRACTICE, coilPower: COMMON_PRACTICE,
    holdPower: COMMON_PRACTICE, economiserDelay: COMMON_PRACTICE, pullIn: LIMITS_OF_OPERATION, dropOut: LIMITS_OF_OPERATION, closingTime: COMMON_PRACTICE, releaseTime: COMMON_PRACTICE,
    thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE,
  },
});

export type Contactor = PartOf<'contactor', typeof CONTACTOR.fields>;
