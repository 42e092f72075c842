import type { Failure } from '../../machine/network/failures.ts';
import type { MachineNetwork } from '../../machine/network/machine-network.ts';
import { WIDTH } from '../../engine/network/network.ts';
import { Setting } from '../../machine/network/situation.ts';
import type { Exchange } from './equal-branches.ts';
import type { MergedSituation } from './every-state.ts';
import { keyOf, moved } from './known-states.ts';

/** What is known of one situation, by the number of the change that a failure makes. */
type Known = Map<number, Uint8Array | undefined>;

/** A situation with what is known of it and of those that an exchange makes of it. */
export interface Place {
  readonly own: Known;
  readonly others: readonly (Known | undefined)[];
}

/**
 * Classes that were found with a failure, found again where the same change is made in the same situation, or its image
 * in the image of the situation under an exchange of equal branches. Failures count as the same by what they change,
 * number by number: a fuse and a joint that open the same lead are one.
 */
export class KnownFailures {
  /** Cases that were taken from others. */
  images = 0;
  private readonly states = new Map<string, Known>();
  /** Number of the change that each failure makes. */
  private readonly changes = new Map<Failure, number>();
  /** For each exchange, what it makes of each change; undefined where no failure does that. */
  private readonly becomes: readonly (readonly (number | undefined)[])[];

  constructor(network: MachineNetwork, values: Float64Array, failures: readonly Failure[], private readonly exchanges: readonly Exchange[]) {
    const whole = new Setting(network, values);
    const before = picture(whole);
    const numbers = new Map<string, number>();
    const differences: Difference[][] = [];
    for (const failure of failures) {
      const broken = new Setting(network, values);
      failure.change(broken);
      const found = differencesOf(before, picture(broken));
      const key = nameOf(failure, found);
      if (!numbers.has(key)) {
        numbers.set(key, numbers.size);
        differences.push(found);
      }
      this.changes.set(failure, numbers.get(key)!);
    }
    const closes = new Map([...this.changes].map(([failure, n]) => [n, failure]));
    this.becomes = exchanges.map((exchange) => differences.map((some, n) => numbers.get(nameOf(closes.get(n)!, some.map((one) => imageOf(one, exchange, whole.width))))));
  }

  /** Looks a situation up, once for all failures in it. */
  place(situation: MergedSituation): Place {
    const key = keyOf(situation);
    let own = this.states.get(key);
    if (own === undefined) {
      own = new Map();
      this.states.set(key, own);
    }
    return { own, others: this.exchanges.map((exchange) => this.states.get(keyOf(moved(situation, exchange)))) };
  }

  /** Classes with a failure, or undefined within where no state of rest was found; undefined where nothing is known. */
  find(place: Place, failure: Failure): { readonly classes: Uint8Array | undefined } | undefined {
    const change = this.changes.get(failure)!;
    let found = place.own.has(change) ? { classes: place.own.get(change) } : undefined;
    for (let x = 0; found === undefined && x < this.exchanges.length; x++) {
      const other = this.becomes[x]![change];
      const known = place.others[x];
      if (other === undefined || known?.has(other) !== true) continue;
      const classes = known.get(other);
      const { loads } = this.exchanges[x]!;
      found = { classes: classes?.map((_, k) => classes[loads[k]!]!) };
      place.own.set(change, found.classes);
    }
    if (found !== undefined) this.images++;
    return found;
  }

  keep(place: Place, failure: Failure, classes: Uint8Array | undefined): void {
    place.own.set(this.changes.get(failure)!, classes?.slice());
  }
}

const ARRAYS = ['strandOhm', 'cut', 'roundDiode', 'turned', 'crossed', 'rowOhm', 'numbers', 'dead', 'still', 'absent', 'sourceS'] as const;
type Picture = Readonly<Record<(typeof ARRAYS)[number], Float64Array>>;

interface Difference {
  readonly array: (typeof ARRAYS)[number];
  readonly at: number;
  readonly value: number;
}

function picture(setting: Setting): Picture {
  return Object.fromEntries(ARRAYS.map((name) => [name, Float64Array.from(setting[name])])) as Record<(typeof ARRAYS)[number], Float64Array>;
}

function differencesOf(before: Picture, after: Picture): Difference[] {
  return ARRAYS.flatMap((array) => [...after[array]].flatMap((value, at): Difference[] => (value === before[array][at] ? [] : [{ array, at, value }])));
}

function nameOf({ closes }: Failure, differences: readonly Difference[]): string {
  return `${closes} ${differences.map(({ array, at, value }) => `${array} ${at} ${value}`).sort().join(';')}`;
}

function imageOf({ array, at, value }: Difference, { rows, strands, elements, loads, sources }: Exchange, width: number): Difference {
  switch (array) {
    case 'strandOhm':
    case 'cut':
    case 'roundDiode':
    case 'turned':
    case 'crossed':
      return { array, at: strands[at]!, value };
    case 'rowOhm':
      return { array, at: rows[Math.floor(at / width)]! * width + (at % width), value };
    case 'numbers':
      return { array, at: elements[Math.floor(at / WIDTH)]! * WIDTH + (at % WIDTH), value };
    case 'dead':
    case 'still':
      return { array, at: loads[at]!, value };
    case 'absent':
    case 'sourceS':
      return { array, at: sources[at]!, value };
  }
}
