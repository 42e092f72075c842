import type { Setting } from '../../machine/network/situation.ts';

/** How current comes to a load and leaves it again. */
export interface FeedingPath {
  /** Source that it comes from: a pack, a bench supply, a motor that turns. */
  readonly from: string | undefined;
  /** Parts on the way out and back, in order. */
  readonly parts: readonly string[];
  /** The same in words, leads included: `pack G1`, `fuse F1`, `8 AWG lead of drive`. */
  readonly words: readonly string[];
  /** Names of the strands on the way, for the drawing. */
  readonly strands: readonly string[];
  /** Chains of the + side that it runs through against the way in which they are written. */
  readonly against: readonly string[];
  /** Supplies of the radio that it runs through from their output to their input. */
  readonly backwards: readonly string[];
}

interface Step {
  readonly other: number;
  readonly current: number;
  readonly words: readonly string[];
  readonly parts: readonly string[];
  readonly strand: string | undefined;
  /** The chain, when the current flows against the way in which it is written. */
  readonly against?: string | undefined;
  /** The part, when the current flows through a body diode of it. */
  readonly backwards?: string | undefined;
  readonly source: string | undefined;
  /** Converter that it goes through, from output to input. */
  readonly converter?: string;
}

/** Currents below this are rounding, A. */
const NOISE_A = 1e-10;

/**
 * Follows the largest current from a load's + back to a source, and from its − on to that source, in a setting at rest.
 * Through everything that conducts: leads, diodes backwards, supplies of the radio, other loads' signal grounds.
 */
export function feedingPath(setting: Setting, load: number): FeedingPath {
  const { plus, minus } = setting.machine.loads[load]!;
  const up = follow(setting, plus, minus, 1, []);
  const down = follow(setting, minus, plus, -1, up.steps.flatMap((step) => (step.converter === undefined ? [] : [step.converter])));
  return {
    from: up.source,
    parts: [...new Set([...up.steps.flatMap((step) => step.parts).reverse(), ...down.steps.flatMap((step) => step.parts)])],
    words: [...up.steps.flatMap((step) => [...step.words].reverse()).reverse(), setting.machine.loads[load]!.part, ...down.steps.flatMap((step) => step.words)],
    strands: [...up.steps, ...down.steps].flatMap((step) => step.strand ?? []),
    against: up.steps.flatMap((step) => step.against ?? []),
    backwards: up.steps.flatMap((step) => step.backwards ?? []),
  };
}

/**
 * @param sign  1 to go against the current, to where it comes from; −1 to go with it
 * @param through  converters that the current came through: it has arrived where they give it back
 */
function follow(setting: Setting, start: number, opposite: number, sign: 1 | -1, through: readonly string[]): { readonly source: string | undefined; readonly steps: Step[] } {
  const steps: Step[] = [];
  const seen = new Set([start, opposite]);
  let node = start;
  for (;;) {
    const next = stepsInto(setting, node, sign, through).filter((step) => step.source !== undefined || !seen.has(step.other)).sort((a, b) => b.current - a.current)[0];
    if (next === undefined) return { source: undefined, steps };
    steps.push(next);
    if (next.source !== undefined) return { source: next.source, steps };
    seen.add(next.other);
    node = next.other;
  }
}

function stepsInto(setting: Setting, node: number, sign: 1 | -1, through: readonly string[]): Step[] {
  const { machine, rest } = setting;
  const found: Step[] = [];
  /** @param current  from a to b */
  const add = (a: number, b: number, current: number, own: Omit<Step, 'other' | 'current'>): void => {
    const into = sign * (b === node ? current : -current);
    if ((a === node || b === node) && a !== b && into > NOISE_A) found.push({ other: a === node ? b : a, current: into, ...own });
  };
  for (const [s, { strand, a: first, b: last, cross }] of machine.strands.entries()) {
    const { a, b } = setting.crossed[s] === 1 && cross !== undefined ? cross : { a: first, b: last };
    if (a !== node && b !== node) continue;
    const current = setting.strandCurrent(s);
    const forward = [...strand.items.map((item) => item.words), ...strand.switches.map((row) => `switch ${machine.rows[row]!.part}`), ...(strand.diode === undefined ? [] : [`diode ${strand.diode}`])];
    add(a, b, current, { words: b === node ? forward : forward.reverse(), parts: strand.parts, strand: strand.name, against: strand.role === 'supply' && current < 0 ? strand.chain.name : undefined, source: undefined });
  }
  for (const pass of machine.passes) add(pass.a, pass.b, rest.current(pass.element), { words: [pass.words], parts: [pass.part], strand: undefined, backwards: pass.backwards ? pass.part : undefined, source: undefined });
  for (const source of machine.sources) add(source.plus, source.minus, rest.current(source.element), { words: [`${source.kind} ${source.part}`], parts: [source.part], strand: undefined, source: source.part });
  for (const load of machine.loads) {
    if (load.output !== undefined) {
      const { a, b } = machine.network.elements[load.output]!;
      // What a converter gives at its output comes in at its input.
      const current = rest.current(load.output);
      if (a === node && sign === 1 && -current > NOISE_A) found.push({ other: load.plus, current: -current, words: [`converter ${load.part}`], parts: [load.part], strand: undefined, source: undefined, converter: load.part });
      // On the way back the current has arrived where it came out.
      else if (b === node && sign === -1 && -current > NOISE_A && through.includes(load.part)) found.push({ other: a, current: -current, words: [`converter ${load.part}`], parts: [load.part], strand: undefined, source: load.part });
    }
    for (const element of [...load.draws, load.shunt]) {
      const { a, b } = machine.network.elements[element]!;
      add(a, b, rest.current(element), { words: [load.part], parts: [load.part], strand: undefined, source: undefined });
    }
  }
  return found;
}
