import type { Automaton, RunControl } from '../automaton.ts';
import type { SystemBuilder } from '../system.ts';

/** One step of a protection's trip curve: a current that may last so long. */
export interface TripStep {
  readonly name: string;
  readonly current_A: number;
  readonly delay_s: number;
}

export interface TripHandle {
  /** Parameters of each step: current, A; delay, s. */
  readonly steps: readonly { readonly name: string; readonly current: number; readonly delay: number }[];
  /** Parameter: 1 once it has tripped. */
  readonly tripped: number;
  readonly automata: readonly Automaton[];
}

/** While the current stands above a step its margin must fall below this share before the clock is set back. */
const RESET_SHARE = 0.98;

/**
 * A battery protection's comparators: when the current has stood above a step for its delay without falling back, `trip`
 * is called. Each comparator is an automaton on a current watch; its clock is the time at which it was passed.
 */
export function addTrip(b: SystemBuilder, name: string, currentWatch: number, steps: readonly TripStep[], trip: (run: RunControl, step: string) => void): TripHandle {
  const tripped = b.parameter(`${name} tripped`, 0);
  const handles = steps.map((step) => ({
    name: step.name,
    current: b.parameter(`${name} ${step.name} current`, step.current_A).index,
    delay: b.parameter(`${name} ${step.name} delay`, step.delay_s).index,
    above: b.parameter(`${name} ${step.name} passed`, 0).index,
    since: b.parameter(`${name} ${step.name} since`, 0).index,
  }));
  const automata = handles.map((step): Automaton => ({
    name: `${name} ${step.name}`,
    distance(w, p) {
      if (p[tripped.index] === 1) return -1;
      const size = Math.abs(w[currentWatch]!);
      return p[step.above] === 0 ? size - p[step.current]! : RESET_SHARE * p[step.current]! - size;
    },
    fire(run) {
      const p = run.parameters;
      if (p[step.above] === 1) {
        p[step.above] = 0;
        return;
      }
      p[step.above] = 1;
      p[step.since] = run.time;
      const passed = run.time;
      run.schedule(passed + p[step.delay]!, (later) => {
        const q = later.parameters;
        if (q[tripped.index] === 1 || q[step.above] !== 1 || q[step.since] !== passed) return;
        q[tripped.index] = 1;
        later.note(`${name} trips: ${step.name}`, Math.abs(later.watched[currentWatch]!));
        trip(later, step.name);
      });
    },
  }));
  return { steps: handles.map(({ name: of, current, delay }) => ({ name: of, current, delay })), tripped: tripped.index, automata };
}
