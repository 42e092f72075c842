import { omega } from '../omega.ts';
import { backSolve, factorise } from './elimination.ts';
import { CODES, law } from './laws.ts';
import { WIDTH, type Network } from './network.ts';

/**
 * Leakage of every node to the reference, S: a gigaohm of insulation. It gives a node that nothing feeds its 0 V, and
 * carries less than a ten-thousandth of the smallest current that counts.
 */
const INSULATION_S = 1e-9;
const PASSES = 40;
/** Passes after which no node goes further than this at once, V, and less each time: what sends itself back and forth meets. */
const EAGER_PASSES = 12;
const WARY_V = 8;
const WARIER = 0.75;
/** Where nothing else arrives, thresholds are taken this many times as wide at first. */
const MOST_BLUR = 32;
/** Newton has arrived when it would move no node by more than this, V. */
const SETTLED_V = 1e-8;
/** Steps of pseudo-time that are tried where Newton alone does not arrive. */
const RELAXATIONS = 400;
const LONG_S = 1e12;
/** From a move this small on, passes converge with the square: what the next would move follows from the last two, V. */
const NEAR_V = 0.5;
/** A node that moves further than this has lost what fed it, V. */
const FAR_V = 1;
/** A conducting diode has arrived when its tangent touches its law this near to where it stands, V. */
const TOUCHES_V = 1e-6;
/** A pass that would take a node from above the reference below this takes it to the reference, V. */
const BELOW_V = -0.5;
/** How often a load that pulls its supply under its stop voltage is held up before it counts as one that cannot run. */
const TURNS_BACK = 3;

export interface Floor {
  readonly plus: number;
  readonly minus: number;
  readonly least_V: number;
}

/**
 * Finds the node voltages at which a network rests. One solver serves any number of states: numbers and voltages are
 * its own arrays, changed in place between solutions.
 *
 * Newton on the node equations, started from the voltages that are there. A diode's next tangent touches its law at the
 * current that the last one asked for, and only where that does not flow forwards at its voltage: a tangent's current is
 * about right long before its voltage is. Where that does not arrive, implicit steps in pseudo-time.
 * @see C. W. Ho et al., An algorithm for DC solutions in an experimental general purpose interactive circuit design
 *   program, IEEE Trans. Circuits Syst. 24 (1977) 416 (voltage and current as alternating bases; from memory)
 * @see C. T. Kelley, D. E. Keyes, Convergence analysis of pseudo-transient continuation, SIAM J. Numer. Anal. 35 (1998) 508
 */
export class RestPoint {
  /** Numbers of the elements, `WIDTH` each, as in {@link Network}. */
  readonly numbers: Float64Array;
  /** Voltages of the nodes; the reference, 0, is the first. */
  readonly voltages: Float64Array;
  /** Newton passes so far. */
  passes = 0;
  private readonly matrix: Float64Array;
  private readonly right: Float64Array;
  private readonly scratch: Float64Array;
  private readonly probe: Float64Array;
  /** 1 for nodes that the last pass sent far below the reference. */
  private readonly lost: Uint8Array;
  private readonly before: Float64Array;
  private readonly begun: Float64Array;
  /** For each element its kind, its nodes, and where its slopes go in the matrix; −1 for the reference. */
  private readonly stamps: Int32Array;
  private readonly diagonal: Int32Array;
  /** Elements that are diodes, and for each the point at which its tangent touches: voltage, current, slope. */
  private readonly diodes: Int32Array;
  private readonly touches: Float64Array;
  private range_V = Infinity;
  /** How many times as wide as they are the thresholds of loads and regulators are taken. */
  private blur = 1;
  /** Current and slope of the element that was looked at last. */
  private readonly seen = new Float64Array(3);

  constructor(readonly network: Network) {
    const { elimination, elements } = network;
    this.numbers = network.numbers.slice();
    this.voltages = new Float64Array(network.nodes.length);
    this.before = new Float64Array(network.nodes.length);
    this.begun = new Float64Array(network.nodes.length);
    this.matrix = new Float64Array(elimination.values);
    this.right = new Float64Array(elimination.size);
    this.scratch = new Float64Array(elimination.size);
    this.lost = new Uint8Array(network.nodes.length);
    this.probe = new Float64Array(elimination.size);
    this.diagonal = Int32Array.from({ length: elimination.size }, (_, k) => elimination.slot(k, k));
    this.diodes = Int32Array.from(elements.flatMap(({ kind }, e) => (kind === 'diode' ? [e] : [])));
    this.touches = new Float64Array(TOUCH * this.diodes.length);
    const slot = (row: number, column: number): number => (row > 0 && column > 0 ? elimination.slot(row - 1, column - 1) : -1);
    this.stamps = Int32Array.from(
      elements.flatMap(({ kind, a, b, c }) => [CODES[kind], a, b, c, slot(a, a), slot(a, b), slot(b, a), slot(b, b), slot(a, c), slot(b, c)]),
    );
  }

  /**
   * @param above  a load of constant power that has just been started, and the voltage under which it stops: its
   *   equilibrium is approached from above, so that a pass that would go under means there is none
   * @returns false when no state of rest was found; the voltages are then those from before.
   */
  solve(above?: Floor): boolean {
    this.begun.set(this.voltages);
    this.range_V = this.highest();
    const found = this.newton(above);
    if (found !== undefined) return found;
    this.voltages.set(this.begun);
    if (((above === undefined && this.blurred()) || this.relax()) && (above === undefined || !this.isUnder(above))) return true;
    this.voltages.set(this.begun);
    return false;
  }

  /** Solves with loads that come up slowly, then ever more sharply, each from the one before. */
  private blurred(): boolean {
    let found: boolean | undefined;
    for (this.blur = MOST_BLUR; this.blur >= 1; this.blur /= 2) found = this.newton();
    this.blur = 1;
    if (found !== true) this.voltages.set(this.begun);
    return found === true;
  }

  /** @returns whether a state of rest was found; undefined where passes go on and on */
  private newton(above?: Floor): boolean | undefined {
    let turnedBack = 0;
    let before = Infinity;
    this.touch();
    for (let pass = 0; pass < PASSES; pass++) {
      const moved = this.step(0, pass < EAGER_PASSES ? Infinity : WARY_V * WARIER ** (pass - EAGER_PASSES));
      if (!(moved < Infinity)) return undefined;
      if (above !== undefined && this.isUnder(above)) {
        // Half of the way that is left: a diode on the way can make one pass go too far, but not every one.
        if (turnedBack++ === TURNS_BACK) {
          this.voltages.set(this.begun);
          return false;
        }
        this.comeBack(above);
        this.touch();
      } else if (moved <= SETTLED_V || (before <= NEAR_V && moved ** 3 <= SETTLED_V * before ** 2)) return true;
      before = moved;
    }
    return undefined;
  }

  /** No node of a circuit at rest lies further from the reference than all its sources together, V. */
  private highest(): number {
    const { elements } = this.network;
    let sum = 1;
    for (let e = 0; e < elements.length; e++) {
      const { kind } = elements[e]!;
      // What draws its current at no voltage too is a source whose voltage nothing bounds.
      if (kind === 'standby' && this.numbers[e * WIDTH]! > 0 && this.numbers[e * WIDTH + 2]! < 0) return Infinity;
      if ((kind === 'source' || kind === 'limited') && this.numbers[e * WIDTH]! > 0) sum += Math.abs(this.numbers[e * WIDTH + 1]!);
    }
    return sum;
  }

  private isUnder({ plus, minus, least_V }: Floor): boolean {
    return !(this.voltages[plus]! - this.voltages[minus]! >= least_V);
  }

  private comeBack({ plus, minus, least_V }: Floor): void {
    const { voltages, right } = this;
    const now = voltages[plus]! - voltages[minus]!;
    const step = (plus > 0 ? right[plus - 1]! : 0) - (minus > 0 ? right[minus - 1]! : 0);
    const before = now - step;
    const back = 1 - (0.5 * (before - least_V)) / (before - now);
    for (let k = 0; k < right.length; k++) voltages[k + 1]! -= back * right[k]!;
  }

  /** Small-signal resistance between two nodes at the state found last, Ω. */
  resistanceBetween(plus: number, minus: number): number {
    const { right, scratch, network } = this;
    right.fill(0);
    if (plus > 0) right[plus - 1]! += 1;
    if (minus > 0) right[minus - 1]! -= 1;
    backSolve(network.elimination, this.matrix, right, scratch);
    return (plus > 0 ? right[plus - 1]! : 0) - (minus > 0 ? right[minus - 1]! : 0);
  }

  /** Current through an element from its first node to its second, A. */
  current(element: number): number {
    const { a, b, c, kind } = this.network.elements[element]!;
    const { voltages } = this;
    law(CODES[kind], this.numbers, element * WIDTH, voltages[a]! - voltages[b]!, voltages[b]! - voltages[c]!, this.seen);
    return this.seen[0]!;
  }

  private relax(): boolean {
    let rate = 1e3;
    for (let k = 0; k < RELAXATIONS; k++) {
      this.before.set(this.voltages);
      this.touch();
      const moved = this.step(rate);
      if (!(moved < 5)) {
        this.voltages.set(this.before);
        rate *= 8;
        if (rate > 1e15) return false;
        continue;
      }
      if (rate <= 1 / LONG_S && moved <= SETTLED_V) return true;
      rate = Math.max(1 / LONG_S, rate / (moved < 0.1 ? 8 : moved < 1 ? 3 : 1.2));
    }
    return false;
  }

  /**
   * One Newton step, with a conductance `rate` that holds every node back.
   * @param most_V  furthest that a node is let go; diodes then have their tangents where the nodes stand
   * @returns the largest move, V
   */
  private step(rate: number, most_V = Infinity): number {
    const { network, matrix, right, scratch, voltages, range_V } = this;
    this.passes++;
    this.assemble(rate);
    factorise(network.elimination, matrix);
    backSolve(network.elimination, matrix, right, scratch);
    let moved = most_V < Infinity ? 0 : this.touchAgain();
    let lost = 0;
    for (let k = 0; k < right.length; k++) {
      const from = voltages[k + 1]!;
      const aimed = from + right[k]!;
      // What draws a constant current drives a node that nothing feeds far below zero, where it draws none.
      const free = (aimed > range_V ? range_V : from > 0 && aimed < BELOW_V ? 0 : aimed < -range_V ? -range_V : aimed) - from;
      const dv = Math.min(Math.max(free, -most_V), most_V);
      right[k] = dv;
      voltages[k + 1]! += dv;
      // A node that is held at the end of the range has not come to rest there.
      const size = Math.abs(aimed > range_V || aimed < -range_V ? aimed - from : free);
      if (!(size <= moved)) moved = size;
      if (this.lost[k + 1] !== 0) this.lost[k + 1] = 0;
      if (size > FAR_V && aimed < BELOW_V) lost = this.lost[k + 1] = 1;
    }
    if (most_V < Infinity) this.touch();
    else if (lost === 1) this.hangOnDiodes();
    return Number.isNaN(moved) ? Infinity : moved;
  }

  /** Puts nodes that a pass has lost where a diode that feeds them now has them. */
  private hangOnDiodes(): void {
    const { diodes, touches, numbers, voltages, right, lost, network } = this;
    for (let d = 0; d < diodes.length; d++) {
      const e = diodes[d]!;
      const { a, b } = network.elements[e]!;
      if (numbers[e * WIDTH] === 0 || lost[b] !== 1 || lost[a] === 1 || !(touches[TOUCH * d + 1]! > numbers[e * WIDTH + 1]!)) continue;
      const v = voltages[a]! - touches[TOUCH * d]!;
      right[b - 1]! += v - voltages[b]!;
      voltages[b] = v;
      lost[b] = 0;
    }
  }

  /** Has every diode's tangent touch its law at the voltage that is there. */
  private touch(): void {
    const { diodes, voltages, network } = this;
    for (let d = 0; d < diodes.length; d++) {
      const { a, b } = network.elements[diodes[d]!]!;
      this.touchAt(d, voltages[a]! - voltages[b]!);
    }
  }

  private touchAt(d: number, v: number): void {
    const { touches, seen } = this;
    law(CODES.diode, this.numbers, this.diodes[d]! * WIDTH, v, 0, seen);
    touches[TOUCH * d] = v;
    touches[TOUCH * d + 1] = seen[0]!;
    touches[TOUCH * d + 2] = seen[1]!;
  }

  /**
   * Has every diode's tangent touch its law anew, after the step that is held in `right`.
   * @returns the furthest that a tangent was from where it has to touch, V; 0 where all touch near enough
   */
  private touchAgain(): number {
    const { diodes, touches, numbers, voltages, right, network } = this;
    let furthest = 0;
    for (let d = 0; d < diodes.length; d++) {
      const e = diodes[d]!;
      const at = e * WIDTH;
      if (numbers[at] === 0) continue;
      const { a, b } = network.elements[e]!;
      const t = TOUCH * d;
      const across = (a > 0 ? voltages[a]! + right[a - 1]! : 0) - (b > 0 ? voltages[b]! + right[b - 1]! : 0);
      const away = across - touches[t]!;
      const asked = touches[t + 1]! + touches[t + 2]! * away;
      const saturation = numbers[at + 1]!;
      const slope = numbers[at + 2]!;
      const series = numbers[at + 3]!;
      if (asked > saturation && away > FEEDS_APART * slope) {
        // From far below current alone climbs by the logarithm: what feeds it, as a voltage behind a resistance, tells where to.
        const i = this.fedBy(a, b, across, asked, touches[t + 2]!, at);
        touches[t] = slope * Math.log1p(i / saturation) + series * i;
        touches[t + 1] = i;
        touches[t + 2] = 1 / (series + slope / (i + saturation));
        if (!(away <= furthest)) furthest = away;
      } else if (asked > saturation) {
        touches[t] = slope * Math.log1p(asked / saturation) + series * asked;
        touches[t + 1] = asked;
        touches[t + 2] = 1 / (series + slope / (asked + saturation));
        if (!(Math.abs(away) <= TOUCHES_V || Math.abs(away) <= furthest)) furthest = Math.abs(away);
      } else {
        // What is asked for no more than it leaks stands no higher than where it gives that.
        const v = Math.min(across, slope * Math.LN2 + series * saturation);
        this.touchAt(d, v);
        if (!(across - v <= furthest)) furthest = across - v;
      }
    }
    return furthest;
  }

  /** Current of a diode on what feeds it, taken as straight through a voltage and a current that its tangent of slope `g` came to, A. */
  private fedBy(a: number, b: number, across: number, asked: number, g: number, at: number): number {
    const { probe, matrix, scratch, numbers, network } = this;
    probe.fill(0);
    if (a > 0) probe[a - 1] = 1;
    if (b > 0) probe[b - 1] = -1;
    backSolve(network.elimination, matrix, probe, scratch);
    const seen_ohm = (a > 0 ? probe[a - 1]! : 0) - (b > 0 ? probe[b - 1]! : 0);
    const feeds_ohm = seen_ohm / (1 - g * seen_ohm);
    if (!(feeds_ohm > 0 && feeds_ohm < 1e6)) return asked;
    const saturation = numbers[at + 1]!;
    const slope = numbers[at + 2]!;
    const whole_ohm = numbers[at + 3]! + feeds_ohm;
    return (slope / whole_ohm) * omega((across + feeds_ohm * asked + saturation * whole_ohm) / slope + Math.log((saturation * whole_ohm) / slope)) - saturation;
  }

  private assemble(rate: number): void {
    const { matrix, right, voltages, stamps, seen, numbers, diagonal, touches, blur } = this;
    matrix.fill(0);
    for (let k = 0; k < right.length; k++) {
      matrix[diagonal[k]!] = INSULATION_S + rate;
      right[k] = -INSULATION_S * voltages[k + 1]!;
    }
    for (let at = 0, s = 0, d = 0; s < stamps.length; at += WIDTH, s += STAMP) {
      const g0 = numbers[at]!;
      const code = stamps[s]!;
      const touching = code === CODES.diode ? TOUCH * d++ : 0;
      // Off, open, or not there.
      if (g0 === 0) continue;
      const a = stamps[s + 1]!;
      const b = stamps[s + 2]!;
      const across = voltages[a]! - voltages[b]!;
      if (code === 0) {
        // Most elements are plain leads.
        const current = g0 * across;
        if (a > 0) {
          right[a - 1]! -= current;
          matrix[stamps[s + 4]!]! += g0;
        }
        if (b > 0) {
          right[b - 1]! += current;
          matrix[stamps[s + 7]!]! += g0;
          if (a > 0) {
            matrix[stamps[s + 5]!]! -= g0;
            matrix[stamps[s + 6]!]! -= g0;
          }
        }
        continue;
      }
      const c = stamps[s + 3]!;
      if (code === CODES.diode) {
        seen[0] = touches[touching + 1]! + touches[touching + 2]! * (across - touches[touching]!);
        seen[1] = touches[touching + 2]!;
        seen[2] = 0;
      } else law(code, numbers, at, across, voltages[b]! - voltages[c]!, seen, blur);
      const current = seen[0]!;
      // Slopes of the current from a to b: with the voltage across and, for a regulator, with its output's.
      const g = seen[1]!;
      const gOut = seen[2]!;
      if (a > 0) {
        right[a - 1]! -= current;
        matrix[stamps[s + 4]!]! += g;
        if (b > 0) matrix[stamps[s + 5]!]! += gOut - g;
        if (c > 0) matrix[stamps[s + 8]!]! -= gOut;
      }
      if (b > 0) {
        right[b - 1]! += current;
        matrix[stamps[s + 7]!]! += g - gOut;
        if (a > 0) matrix[stamps[s + 6]!]! -= g;
        if (c > 0) matrix[stamps[s + 9]!]! += gOut;
      }
    }
  }
}

/** A diode's tangent that ends this many slope voltages above where it touched is looked at more closely. */
const FEEDS_APART = 3;
/** What is kept of a diode's tangent: voltage, current and slope where it touches. */
const TOUCH = 3;
/** Entries of the stamp table for one element. */
const STAMP = 10;
