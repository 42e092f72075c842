import type { Quantity } from '../../quantity/quantity.ts';
import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';
import type { QuantityField, ChoiceField } from '../field.ts';
import { CONTACT_HEAT, heatDefaults, heatFields } from './heat-fields.ts';

const closedResistance = {
  type: 'quantity', dimension: 'resistance', above: 0, likely: [5e-5, 0.05], example: '0.5 mΩ',
  meaning: 'Resistance when closed.',
} as const satisfies QuantityField;

const ratedCurrent = {
  type: 'quantity', dimension: 'current', above: 0, likely: [0.5, 1000], example: '150 A',
  meaning: 'Current that it carries for long, from its label.',
} as const satisfies QuantityField;

const makeCurrent = {
  type: 'quantity', dimension: 'current', above: 0, example: '900 A',
  meaning: 'Largest current that it may close on.',
} as const satisfies QuantityField;

const contactMetal = {
  type: 'choice', options: ['copper', 'silver', 'tin', 'gold'],
  meaning: 'Metal of its contacts.',
} as const satisfies ChoiceField;

const forceRise = {
  type: 'quantity', dimension: 'time', above: 1e-6, atMost: 1, example: '0.5 ms',
  meaning: 'Time over which its contact force builds up.',
} as const satisfies QuantityField;

const bounceTime = {
  type: 'quantity', dimension: 'time', atLeast: 0, atMost: 0.1, example: '0.3 ms',
  meaning: 'How long its first bounce parts the contacts; each later one half of it.',
} as const satisfies QuantityField;

/**
 * What every contact has when nothing is known. Common practice, no source.
 * @param usual_A  what a switch of this kind in these machines is usually labelled, where its label is not known
 */
function contactDefaults(closed_ohm: number, rating: Quantity | undefined, usual_A: number): Record<'closedResistance' | 'makeCurrent' | 'forceRise' | 'bounce' | keyof typeof heatFields, Quantity> {
  return {
    closedResistance: classDefaultTimes('resistance', closed_ohm, 0.5, 3),
    // Builders' switches are labelled with what they carry; six times that is what such contacts close on.
    makeCurrent: classDefaultTimes('current', 6 * (rating?.value ?? usual_A), 0.6, 1.6),
    forceRise: classDefault('time', 0.5e-3, 0.2e-3, 1e-3),
    bounce: classDefault('time', 0.3e-3, 0.05e-3, 1e-3),
    ...heatDefaults(CONTACT_HEAT, rating?.value ?? usual_A),
  };
}

const heatSources = { thermalResistance: COMMON_PRACTICE, heatCapacity: COMMON_PRACTICE, limitTemperature: COMMON_PRACTICE } as const;
const contactSources = { closedResistance: COMMON_PRACTICE, makeCurrent: COMMON_PRACTICE, forceRise: COMMON_PRACTICE, bounce: COMMON_PRACTICE, ...heatSources } as const;

const contactFields = { rating: ratedCurrent, closedResistance, makeCurrent, metal: contactMetal, forceRise, bounce: bounceTime, ...heatFields } as const;

/** An isolating switch with two or more positions. */
export const ISOLATOR = defineKind({
  kind: 'isolator',
  letter: 'Q',
  name: 'an isolator',
  meaning: 'An isolating switch with two or more positions.',
  terminals: 'through',
  symbol: 'isolator',
  failureModes: ['open', 'welded', 'stuck'],
  fields: {
    ...contactFields,
    positions: { type: 'positions', meaning: 'Its positions in the order in which it turns: `OFF: open`, `CHARGE: through R1`, `ON: direct`.' },
    changeover: { type: 'choice', options: ['gap', 'overlap'], meaning: 'Whether passing from one closed position to the next opens the way (gap) or closes the next before it opens the last (overlap).' },
    gap: { type: 'quantity', dimension: 'time', atLeast: 0, atMost: 5, example: '20 ms (10 to 40)', meaning: 'Time for which passing between closed positions leaves it open, or both closed.' },
    opensReturn: { type: 'flag', meaning: 'Stands in the negative.' },
    access: { type: 'text', meaning: 'Where it is reached, and with what.' },
  },
  defaults: (given) => ({ ...contactDefaults(5e-4, given.rating, 100), gap: classDefault('time', 0.02, 0.01, 0.04) }),
  sources: { ...contactSources, gap: COMMON_PRACTICE },
});

/** A removable link or loop key. */
export const LINK = defineKind({
  kind: 'link',
  letter: 'X',
  name: 'a removable link',
  meaning: 'A removable link: a plug that closes the circuit.',
  terminals: 'through',
  symbol: 'link',
  failureModes: ['open'],
  fields: { ...contactFields, retention: { type: 'text', meaning: 'What keeps it in.' } },
  defaults: (given) => contactDefaults(8e-4, given.rating, 60),
  sources: contactSources,
});

/** A plug and socket in a lead. */
export const CONNECTOR = defineKind({
  kind: 'connector',
  letter: 'X',
  name: 'a connector',
  meaning: 'A two-pole plug and socket.',
  terminals: 'through',
  symbol: 'connector',
  failureModes: ['open', 'drifted', 'reversed'],
  fields: {
    ...contactFields,
    polarised: { type: 'flag', meaning: 'Whether it goes together one way round only; taken as so when left out.' },
    builtInResistor: { type: 'quantity', dimension: 'resistance', above: 0, likely: [1, 100], example: '5.6 Ω', meaning: 'Resistor that its first stage leads through while it is pushed together.' },
    stage: { type: 'quantity', dimension: 'time', above: 0, atMost: 10, example: '0.3 s (0.1 to 1)', meaning: 'Time between its first stage and its last.' },
    retention: { type: 'text', meaning: 'What keeps it together.' },
  },
  defaults: (given) => contactDefaults(6e-4, given.rating, 60),
  sources: contactSources,
});

/** A push button. */
export const BUTTON = defineKind({
  kind: 'button',
  letter: 'S',
  name: 'a push button',
  meaning: 'A push button: closed while it is pressed.',
  terminals: 'through',
  symbol: 'button',
  failureModes: ['open', 'stuck'],
  fields: contactFields,
  defaults: (given) => ({ ...contactDefaults(0.02, given.rating, 5) }),
  sources: contactSources,
});

export type Isolator = PartOf<'isolator', typeof ISOLATOR.fields>;
export type Link = PartOf<'link', typeof LINK.fields>;
export type Connector = PartOf<'connector', typeof CONNECTOR.fields>;
export type Button = PartOf<'button', typeof BUTTON.fields>;
