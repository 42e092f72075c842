import { classDefault, classDefaultTimes } from '../classes.ts';
import { COMMON_PRACTICE, defineKind, type PartOf } from '../kind.ts';

const USB = 'Universal Serial Bus Specification 2.0 (2000), table 7-7 (from memory); that later ports give more is common practice, no source';

/**
 * A lead that joins a ground to something that is no part of the power circuit: a chassis, a laptop, a programmer, a
 * charger. It stands in a chain of "signal grounds".
 */
export const BENCH_LEAD = defineKind({
  kind: 'bench lead',
  letter: 'W',
  name: 'a chassis or bench lead',
  meaning: 'A lead that joins a ground to the chassis, or to something outside: a laptop, a programmer, a charger. It stands in a chain of "signal grounds", like `usb: from T1-, W1, to chassis`; where nothing else goes to the far place, it may be alone there.',
  terminals: 'through',
  symbol: 'bench lead',
  failureModes: ['open'],
  fields: {
    present: { type: 'choice', options: ['always', 'on the bench'], required: true, meaning: 'Whether it is always there, as a chassis tie is, or plugged in on the bench only.' },
    resistance: { type: 'quantity', dimension: 'resistance', above: 0, likely: [1e-4, 100], example: '0.25 Ω', meaning: 'Resistance from one end to the other, contacts included.' },
    carries: { type: 'quantity', dimension: 'current', above: 0, example: '2 A', meaning: 'Current that it carries for long without harm.' },
    farEnd: { type: 'choice', options: ['floating', 'earthed'], meaning: 'How the device at its far end stands: `floating` (on its own battery) or `earthed` (on the mains); all earthed ends are joined.' },
    feeds: { type: 'part', kinds: ['controller', 'converter', 'regulator', 'receiver', 'servo'], meaning: 'Part that the lead can feed backwards.' },
    reaches: { type: 'choice', options: ['logic', 'supply'], meaning: 'How far that feed comes: to the logic of the part only, or back through its regulator to its supply and capacitors (taken when left out).' },
    feedVoltage: { type: 'quantity', dimension: 'voltage', above: 0, likely: [1, 60], example: '5 V', meaning: 'Voltage that the far device gives.' },
    feedCurrent: { type: 'quantity', dimension: 'current', above: 0, likely: [0.01, 20], example: '0.5 A', meaning: 'Current to which it limits itself.' },
    feedDrop: { type: 'quantity', dimension: 'voltage', atLeast: 0, example: '0.6 V', meaning: 'Voltage lost on its way back into the supply, over a diode or a regulator.' },
  },
  defaults: (given) => {
    // A chassis tie is a short, thick strap; a data lead's ground is thin and has two plugs.
    const tie = given.present === 'always';
    const limit_A = given.feedCurrent?.value ?? 0.5;
    return {
      resistance: tie ? classDefaultTimes('resistance', 0.02, 0.1, 10) : classDefaultTimes('resistance', 0.25, 0.3, 3),
      carries: tie ? classDefault('current', 10, 3, 40) : classDefault('current', 2, 1, 4),
      feedVoltage: classDefault('voltage', 5, 4.75, 5.25),
      feedCurrent: classDefault('current', limit_A, limit_A, 6 * limit_A),
      feedDrop: classDefault('voltage', 0.6, 0.2, 1),
    };
  },
  sources: { resistance: COMMON_PRACTICE, carries: COMMON_PRACTICE, feedVoltage: USB, feedCurrent: USB, feedDrop: COMMON_PRACTICE },
});

export type BenchLead = PartOf<'bench lead', typeof BENCH_LEAD.fields>;
