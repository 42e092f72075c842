import { requirePositive, requireWithin } from './domain.ts';

/** How well a figure is known: read in a public copy, seen in a restatement, or remembered. */
export type Confidence = 'read' | 'second hand' | 'from memory';

/** A voltage below which a standard asks less, or above which it asks more. */
export interface VoltageLimit {
  readonly id: string;
  readonly meaning: string;
  readonly dc_V: number;
  readonly ac_V: number;
  readonly source: string;
  readonly confidence: Confidence;
}

/** 60 V direct current is the dry-location relaxation and the road-vehicle line; the extra-low-voltage limit is 120 V. */
export const VOLTAGE_LIMITS: readonly VoltageLimit[] = [
  {
    id: 'extra-low',
    meaning: 'upper limit of extra-low voltage, direct current free of ripple',
    dc_V: 120,
    ac_V: 50,
    source: 'IEC 61140; IEC 60364-4-41, 414.1',
    confidence: 'from memory',
  },
  {
    id: 'touch-dry',
    meaning: 'separated or protected extra-low voltage needs no basic protection indoors and dry',
    dc_V: 60,
    ac_V: 25,
    source: 'IEC 60364-4-41, 414.4.5',
    confidence: 'from memory',
  },
  {
    id: 'touch-elsewhere',
    meaning: 'the same anywhere else',
    dc_V: 30,
    ac_V: 12,
    source: 'IEC 60364-4-41, 414.4.5',
    confidence: 'from memory',
  },
  {
    id: 'es1',
    meaning: 'energy source class 1, steady: touching it is not painful',
    dc_V: 60,
    ac_V: 30,
    source: 'IEC 62368-1, table 4',
    confidence: 'second hand',
  },
  {
    id: 'vehicle',
    meaning: 'above it a road vehicle counts as high voltage',
    dc_V: 60,
    ac_V: 30,
    source: 'UN R100; ISO 6469-3, class B',
    confidence: 'from memory',
  },
  {
    id: 'student-vehicle',
    meaning: 'above it a student racing car counts as high voltage',
    dc_V: 60,
    ac_V: 25,
    source: 'Formula SAE rules 2016, EV1.1.1 and EV1.1.3',
    confidence: 'read',
  },
];

/** A rule on how fast stored charge must be gone after switching off. */
export interface DischargeClause {
  readonly id: string;
  /** Fall below this many volts, or, where `fraction` is given, to that share of the first voltage. */
  readonly below_V?: number;
  readonly fraction?: number;
  readonly within_s: number;
  /** Parts that store no more charge than this are exempt. */
  readonly exempt_C?: number;
  readonly note: string;
  readonly source: string;
  readonly confidence: Confidence;
}

export const DISCHARGE_CLAUSES: readonly DischargeClause[] = [
  {
    id: 'machinery',
    below_V: 60,
    within_s: 5,
    exempt_C: 60e-6,
    note: 'otherwise a durable warning that states the delay',
    source: 'IEC 60204-1:2016, 6.2.4',
    confidence: 'read',
  },
  {
    id: 'machinery-plug',
    below_V: 60,
    within_s: 1,
    note: 'plugs that expose pins; otherwise IP2X or IPXXB',
    source: 'IEC 60204-1:2016, 6.2.4',
    confidence: 'read',
  },
  {
    id: 'equipment-plug',
    below_V: 60,
    within_s: 2,
    note: 'capacitors behind an external plug; the time was read, the 60 V for 300 nF and above is from memory',
    source: 'IEC 62368-1, 5.5.2.2',
    confidence: 'from memory',
  },
  {
    id: 'laboratory-plug',
    within_s: 5,
    note: 'at the plug; the time only',
    source: 'IEC 61010-1, 6.10.3',
    confidence: 'second hand',
  },
  {
    id: 'equipment-old',
    fraction: 0.37,
    within_s: 1,
    note: 'withdrawn: superseded by IEC 62368-1',
    source: 'IEC 60950-1',
    confidence: 'second hand',
  },
  {
    id: 'student-vehicle',
    below_V: 60,
    within_s: 5,
    note: 'tractive system after shutdown while charging',
    source: 'Formula SAE rules, EV.8.4.2',
    confidence: 'read',
  },
];

/** Share of the accumulator voltage a student racing car must reach before its second relay closes (Formula SAE, read). */
export const PRECHARGE_SHARE = 0.9;

export type TouchedMaterial = 'metal' | 'plastic';

// IEC 62368-1 table 42 (TS1, at 25 °C ambient), built on ISO 13732-1:2006; seen second hand.
const TOUCH_TEMPERATURES: readonly { readonly upTo_s: number; readonly metal: number; readonly plastic: number }[] = [
  { upTo_s: 1, metal: 70, plastic: 94 },
  { upTo_s: 10, metal: 60, plastic: 77 },
  { upTo_s: 60, metal: 51, plastic: 60 },
  { upTo_s: Infinity, metal: 48, plastic: 48 },
];

/**
 * Hottest surface that may be touched for a time, °C. For very long contact bare metal burns from 43 °C (8 h).
 * @throws RangeError when the time is not above zero (NaN included)
 * @see IEC 62368-1, table 42, class TS1
 */
export function touchTemperature_C(contact_s: number, material: TouchedMaterial = 'metal'): number {
  requirePositive(contact_s, 'contact_s', 's');
  return TOUCH_TEMPERATURES.find((row) => contact_s < row.upTo_s)![material];
}

// IEC/TS 60479-1, direct current, hand to hand, large dry contact; from memory. Ω that 5, 50 and 95 % of people fall below.
const BODY_RESISTANCE: readonly { readonly volts: number; readonly ohms: readonly [number, number, number] }[] = [
  { volts: 25, ohms: [2100, 3875, 7275] },
  { volts: 50, ohms: [1600, 2900, 5325] },
  { volts: 75, ohms: [1275, 2275, 4100] },
  { volts: 100, ohms: [1100, 1900, 3350] },
];

export type PeopleShare = 5 | 50 | 95;

/**
 * Body resistance hand to hand that a share of people falls below, Ω, straight between the table's rows.
 * From memory of IEC/TS 60479-1: for an order of magnitude, never for a limit.
 * @throws RangeError outside 25 to 100 V
 */
export function bodyResistance_ohm(touch_V: number, share: PeopleShare): number {
  requireWithin(touch_V, 25, 100, 'touch_V', 'V');
  const column = share === 5 ? 0 : share === 50 ? 1 : 2;
  const upper = Math.max(1, BODY_RESISTANCE.findIndex((row) => row.volts >= touch_V));
  const low = BODY_RESISTANCE[upper - 1]!;
  const high = BODY_RESISTANCE[upper]!;
  const part = (touch_V - low.volts) / (high.volts - low.volts);
  return low.ohms[column] + part * (high.ohms[column] - low.ohms[column]);
}
