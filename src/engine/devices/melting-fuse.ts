import type { FuseElement } from '../../physics/fuse-element.ts';
import type { Automaton, RunControl } from '../automaton.ts';
import type { Expr } from '../expression.ts';
import type { SystemBuilder } from '../system.ts';

export interface MeltingFuseHandle {
  /** Parameters: rating, A; 1 while whole. */
  readonly rating: number;
  readonly whole: number;
  /** Watch: how far it is from melting, 0 cold, 1 melts. */
  readonly warmthWatch: number;
  /** Unknowns: the parts of it. */
  readonly parts: readonly number[];
  readonly automaton: Automaton;
}

/**
 * A fuse as a small thermal network, so that pulses add up and pauses let it cool: at a steady current it opens at the
 * times its element was made for (`physics/fuse-element.ts`).
 * @param current  through it, A
 * @param blow     opens the lead that it sits in
 */
export function addMeltingFuse(b: SystemBuilder, name: string, current: Expr, element: FuseElement, blow: (run: RunControl) => void): MeltingFuseHandle {
  const g = b.graph;
  const rating = b.parameter(`${name} rating`, element.rating_A);
  const whole = b.parameter(`${name} whole`, 1);
  const load = g.square(g.divide(current, rating.value));
  const states = element.parts.map((part, k) => {
    const state = b.state(`${name} warmth ${k + 1}`, 'charge state', 0);
    b.rate(state, g.divide(g.subtract(g.multiply(g.constant(part.share), load), state.value), g.constant(part.time_s)));
    return state;
  });
  const warmthWatch = b.watch(`${name} warmth`, g.sum(states.map((state) => state.value)));
  const automaton: Automaton = {
    name,
    distance: (w, p) => (p[whole.index] === 1 ? w[warmthWatch]! - 1 : -1),
    fire(run) {
      run.parameters[whole.index] = 0;
      run.note(`${name} blows`, run.watched[warmthWatch]!);
      blow(run);
    },
  };
  return { rating: rating.index, whole: whole.index, warmthWatch, parts: states.map((state) => state.index), automaton };
}
