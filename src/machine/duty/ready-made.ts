import { parseQuantity } from '../../quantity/parse.ts';
import { ACTS, type Duty, type DutyAct, type DutyEvent, type DutyProperty } from './duty.ts';
import { dimensionOf } from './rules.ts';

type Written = Readonly<Partial<Record<DutyProperty, string>>> & { readonly do: DutyAct; readonly with?: string };

/**
 * Ready-made duties from gentle to brutal, and a ride. What a machine has no motor for is left out of it. All of it is
 * common practice, no source: fights differ more than machines.
 */
const WRITTEN: Readonly<Record<string, readonly Written[]>> = {
  gentle: [
    { do: 'spin up', at: '3 s', throttle: '70 %' },
    { do: 'hit', every: '25 s (15 to 40)', takes: '20 % (5 to 40)' },
    { do: 'drive', every: '5 s (3 to 8)', throttle: '40 % (20 to 60)' },
    { do: 'turn', every: '8 s (5 to 12)', throttle: '40 %' },
    { do: 'push', every: '40 s (30 to 60)', for: '2 s (1 to 3)', against: '50 % (30 to 80)' },
    { do: 'lift', every: '40 s (30 to 60)' },
    { do: 'lower', every: '40 s (30 to 60)' },
    { do: 'move', every: '30 s (20 to 50)' },
  ],
  usual: [
    { do: 'spin up', at: '2 s' },
    { do: 'hit', every: '12 s (6 to 25)', takes: '40 % (10 to 80)' },
    { do: 'drive', every: '3 s (2 to 5)' },
    { do: 'turn', every: '5 s (3 to 8)' },
    { do: 'push', every: '20 s (12 to 35)', for: '3 s (1.5 to 5)' },
    { do: 'stall', every: '45 s (30 to 70)' },
    { do: 'lift', every: '20 s (12 to 35)' },
    { do: 'lower', every: '20 s (12 to 35)' },
    { do: 'move', every: '15 s (8 to 25)' },
    { do: 'stall', with: 'arms', every: '20 s (12 to 35)', for: '2 s (1 to 4)' },
    { do: 'servo', every: '60 s (40 to 90)' },
  ],
  hard: [
    { do: 'spin up', at: '1 s' },
    { do: 'hit', every: '7 s (4 to 12)', takes: '60 % (20 to 95)' },
    { do: 'drive', every: '2.5 s (1.5 to 4)', throttle: '85 % (60 to 100)' },
    { do: 'turn', every: '4 s (2.5 to 7)', throttle: '80 % (50 to 100)' },
    { do: 'push', every: '12 s (8 to 20)', for: '5 s (3 to 8)', against: '90 % (60 to 120)' },
    { do: 'stall', every: '25 s (15 to 40)', for: '2 s (1 to 3)' },
    { do: 'lift', every: '12 s (8 to 20)' },
    { do: 'lower', every: '12 s (8 to 20)' },
    { do: 'move', every: '8 s (5 to 14)' },
    { do: 'stall', with: 'arms', every: '12 s (8 to 20)', for: '4 s (2 to 6)' },
    { do: 'servo', every: '30 s (20 to 45)', for: '1 s (0.5 to 2)' },
    { do: 'flip', at: '90 s (40 to 140)' },
  ],
  brutal: [
    { do: 'spin up', at: '0.5 s' },
    { do: 'hit', every: '5 s (3 to 8)', takes: '90 % (60 to 100)' },
    { do: 'drive', every: '2 s (1.2 to 3)', throttle: '100 %' },
    { do: 'turn', every: '3 s (2 to 5)', throttle: '100 %' },
    { do: 'push', every: '9 s (7 to 14)', for: '6 s (4 to 9)', against: '110 % (80 to 130)' },
    { do: 'stall', every: '15 s (10 to 25)', for: '3 s (2 to 5)' },
    { do: 'lift', every: '8 s (5 to 12)' },
    { do: 'lower', every: '8 s (5 to 12)' },
    { do: 'move', every: '6 s (4 to 9)' },
    { do: 'stall', with: 'arms', every: '8 s (6 to 12)', for: '5 s (3 to 7)' },
    { do: 'stall', with: 'weapons', at: '100 s (60 to 150)', for: '0.5 s (0.2 to 1)' },
    { do: 'servo', every: '15 s (10 to 25)', for: '2 s (1 to 3)' },
    { do: 'flip', every: '60 s (40 to 90)' },
  ],
  ride: [
    { do: 'drive', every: '14 s (12 to 18)', for: '7 s (5 to 9)', throttle: '80 % (50 to 100)' },
    { do: 'climb', every: '30 s (25 to 40)', for: '8 s (5 to 12)' },
    { do: 'descend', every: '30 s (25 to 40)', for: '8 s (5 to 12)' },
    { do: 'coast', every: '20 s (15 to 30)', for: '2 s (1 to 4)' },
  ],
};

export const DUTY_NAMES: readonly string[] = Object.keys(WRITTEN);

/** Taken where the file names no duty. */
export const USUAL_DUTY = 'usual';

/** A ready-made duty; undefined when there is none of that name. */
export function readyMadeDuty(name: string): Duty | undefined {
  const lines = Object.hasOwn(WRITTEN, name) ? WRITTEN[name] : undefined;
  return lines === undefined ? undefined : { name, events: lines.map(eventOf) };
}

function eventOf({ do: act, with: whom, ...texts }: Written): DutyEvent {
  const values: Partial<Record<DutyProperty, DutyEvent['values'][DutyProperty]>> = {};
  for (const [property, text] of Object.entries(texts) as [DutyProperty, string][]) {
    const parsed = parseQuantity(text, dimensionOf(property));
    if (!parsed.ok) throw new Error(`${act}: ${text}: expected ${parsed.expected}`);
    values[property] = parsed.quantity;
  }
  return { act, with: [whom ?? ACTS[act].role], values: values as DutyEvent['values'], line: 0 };
}
