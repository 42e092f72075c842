import type { Situation } from '../../machine/network/situation.ts';
import type { Exchange } from './equal-branches.ts';
import type { MergedSituation } from './every-state.ts';
import type { Surveyed } from './surveyed.ts';

/** States that were looked at, found again under an exchange of equal branches. */
export class KnownStates {
  /** States that were made of others. */
  images = 0;
  private readonly states = new Map<string, Surveyed>();

  constructor(private readonly exchanges: readonly Exchange[]) {}

  keep(one: Surveyed): void {
    if (this.exchanges.length > 0) this.states.set(keyOf(one.situation), one);
  }

  /** What is known of a state by one that an exchange makes of it; kept too, so that exchanges follow each other. */
  imageOf(situation: MergedSituation, fed: Uint8Array): Surveyed | undefined {
    for (const exchange of this.exchanges) {
      const other = this.states.get(keyOf(moved(situation, exchange)));
      if (other === undefined) continue;
      this.images++;
      const image: Surveyed = {
        situation,
        classes: other.classes.map((_, k) => other.classes[exchange.loads[k]!]!),
        voltages: other.voltages.map((_, k) => other.voltages[exchange.loads[k]!]!),
        came: other.came.map((_, k) => other.came[exchange.loads[k]!]!),
        fed,
      };
      this.keep(image);
      return image;
    }
    return undefined;
  }
}

type Placed = Situation & Pick<MergedSituation, 'asked'>;

export function moved({ positions, asked, present }: Placed, { rows, sources }: Exchange): Placed {
  const [to, askedTo, presentTo] = [positions.slice(), asked.slice(), present.slice()];
  rows.forEach((row, r) => {
    to[row] = positions[r]!;
    askedTo[row] = asked[r]!;
  });
  sources.forEach((source, s) => (presentTo[source] = present[s]!));
  return { positions: to, asked: askedTo, present: presentTo };
}

export function keyOf({ positions, asked, present }: Placed): string {
  return String.fromCharCode(...present, ...positions.map((position, r) => (asked[r] === 1 ? position + 1 : 0)));
}
