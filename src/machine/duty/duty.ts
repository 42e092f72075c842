import type { Quantity } from '../../quantity/quantity.ts';

/** What happens during a match. */
export type DutyAct =
  | 'spin up' | 'hit' | 'drive' | 'turn' | 'push' | 'stall' | 'lift' | 'lower' | 'move' | 'servo' | 'climb' | 'descend' | 'flip' | 'coast';

/** What a motor is for, which follows from what it drives; a duty may name these in place of parts. */
export type Role = 'weapons' | 'drive' | 'lifters' | 'arms' | 'servos';
export const ROLES: readonly Role[] = ['weapons', 'drive', 'lifters', 'arms', 'servos'];

export type DutyProperty = 'at' | 'every' | 'from' | 'until' | 'for' | 'throttle' | 'takes' | 'against' | 'slope';

/** One line of a duty: something that happens once (`at`) or again and again (`every`). */
export interface DutyEvent {
  readonly act: DutyAct;
  /** Ids of motors or servos, or roles. */
  readonly with: readonly string[];
  /** Its quantities; each is drawn anew within its spread every time that it is needed. */
  readonly values: Readonly<Partial<Record<DutyProperty, Quantity>>>;
  readonly line: number;
}

export interface Duty {
  /** Name of a ready-made one, `own` for one that the file spells out. */
  readonly name: string;
  readonly events: readonly DutyEvent[];
}

interface ActRule {
  readonly meaning: string;
  readonly role: Role;
  /** Quantities that it may have besides its times, with what is taken when they are left out. */
  readonly usual: Readonly<Partial<Record<DutyProperty, string>>>;
  /** Lasts until something else begins, where no `for` is given. */
  readonly lasts?: true;
}

/** What each act means and takes. The figures are common practice, no source. */
export const ACTS: Readonly<Record<DutyAct, ActRule>> = {
  'spin up': { meaning: 'a weapon is spun up and kept at speed', role: 'weapons', usual: { throttle: '100 %' }, lasts: true },
  hit: { meaning: 'a weapon gives a share of its energy away at once', role: 'weapons', usual: { takes: '30 % (10 to 60)' } },
  drive: { meaning: 'driving ahead or back on the flat', role: 'drive', usual: { throttle: '60 % (30 to 100)', for: '1.5 s (0.5 to 3)' } },
  turn: { meaning: 'turning on the spot, one side ahead and the other back', role: 'drive', usual: { throttle: '50 % (30 to 80)', for: '0.6 s (0.3 to 1.2)' } },
  push: { meaning: 'pushing something that resists with a share of the wheels\' grip', role: 'drive', usual: { throttle: '100 %', for: '3 s (1 to 6)', against: '80 % (40 to 110)' } },
  stall: { meaning: 'held still with the throttle on: wheels against the wall, a jammed weapon, jaws that have closed', role: 'drive', usual: { throttle: '100 %', for: '1 s (0.5 to 2)' } },
  lift: { meaning: 'lifting', role: 'lifters', usual: { throttle: '100 %', for: '0.8 s (0.5 to 1.2)' } },
  lower: { meaning: 'lowering what was lifted', role: 'lifters', usual: { throttle: '60 %', for: '0.8 s (0.5 to 1.2)' } },
  move: { meaning: 'an arm moves freely', role: 'arms', usual: { throttle: '100 %', for: '1 s (0.5 to 2)' } },
  servo: { meaning: 'a servo stalls', role: 'servos', usual: { for: '0.5 s (0.2 to 1)' } },
  climb: { meaning: 'driving uphill', role: 'drive', usual: { throttle: '80 %', for: '5 s (3 to 10)', slope: '10 %' } },
  descend: { meaning: 'rolling downhill and braking', role: 'drive', usual: { throttle: '20 %', for: '5 s (3 to 10)', slope: '10 %' } },
  flip: { meaning: 'on its back: the wheels turn freely', role: 'drive', usual: { throttle: '80 %', for: '4 s (2 to 8)' } },
  coast: { meaning: 'nothing is asked', role: 'drive', usual: { for: '1 s (0.5 to 3)' } },
};

export const DUTY_ACTS = Object.keys(ACTS) as DutyAct[];
