import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { NetworkBuilder } from '../../../src/engine/network/network.ts';
import { RestPoint } from '../../../src/engine/network/rest-point.ts';
import { external } from '../../external.ts';

// Tolerances: a gigaohm of insulation at every node, next to the ohms and kilohms here, is below 1e-5.
const INSULATED = 1e-5;

function solved(build: (b: NetworkBuilder) => void): RestPoint {
  const builder = new NetworkBuilder();
  build(builder);
  const rest = new RestPoint(builder.finish());
  expect(rest.solve()).toBe(true);
  return rest;
}

/** Resistance between node 1 and the reference of a network of resistors, by a source of 1 V behind 1 Ω. */
function resistance_ohm(build: (b: NetworkBuilder, plus: number) => void): number {
  let source = 0;
  const rest = solved((b) => {
    const plus = b.node('plus');
    source = b.source('1 V', plus, 0, 1, 1);
    build(b, plus);
  });
  return rest.voltages[1]! / -rest.current(source);
}

describe('resistors at rest', () => {
  it('split in an unbalanced bridge as its equivalent source says', () => {
    const [r1, r2, r3, r4, rg] = [100, 220, 150, 270, 47] as const;
    let detector = 0;
    const rest = solved((b) => {
      const [top, left, right] = [b.node('top'), b.node('left'), b.node('right')];
      b.source('battery', top, 0, 10, 1e-6);
      b.conductance('R1', top, left, 1 / r1);
      b.conductance('R2', left, 0, 1 / r2);
      b.conductance('R3', top, right, 1 / r3);
      b.conductance('R4', right, 0, 1 / r4);
      detector = b.conductance('detector', left, right, 1 / rg);
    });
    const open_V = 10 * (r2 / (r1 + r2) - r4 / (r3 + r4));
    const inner_ohm = (r1 * r2) / (r1 + r2) + (r3 * r4) / (r3 + r4);
    external({
      source: 'J. W. Nilsson, S. A. Riedel, Electric Circuits, Wheatstone bridge by its Thévenin equivalent (from memory)',
      what: 'bridge of 100, 220, 150 and 270 Ω on 10 V: current through a detector of 47 Ω',
      expected: open_V / (inner_ohm + rg), got: rest.current(detector), unit: 'A', relative: INSULATED, note: 'from memory',
    });
  });

  const corner = (k: number): string => `corner ${k}`;
  const cube = (to: number) => (b: NetworkBuilder, plus: number): void => {
    const nodes = Array.from({ length: 8 }, (_, k) => (k === 0 ? plus : k === to ? 0 : b.node(corner(k))));
    for (let k = 0; k < 8; k++) for (const bit of [1, 2, 4]) if ((k & bit) === 0) b.conductance(`edge ${k}`, nodes[k]!, nodes[k | bit]!, 1);
  };
  it.each([[1, 7 / 12, 'an edge'], [3, 3 / 4, 'the diagonal of a face'], [7, 5 / 6, 'the diagonal of the cube']] as const)('give a cube of twelve ohms its textbook resistance to corner %d', (to, expected, across) => {
    external({
      source: 'the resistor cube of the textbooks, for instance D. Halliday, R. Resnick, Physics (from memory)',
      what: `twelve resistors of 1 Ω as the edges of a cube: resistance across ${across}`,
      expected, got: resistance_ohm(cube(to)), unit: 'Ω', relative: INSULATED, note: 'from memory',
    });
  });

  it('give a long ladder the golden ratio', () => {
    external({
      source: 'R. P. Feynman, R. B. Leighton, M. Sands, The Feynman Lectures on Physics II, 22-6, the ladder network, with resistors of 1 Ω (from memory)',
      what: 'ladder of 40 sections of 1 Ω in line and 1 Ω across: resistance at its input',
      expected: (1 + Math.sqrt(5)) / 2, got: resistance_ohm((b, plus) => {
        let from = plus;
        for (let k = 0; k < 40; k++) {
          const next = b.node(`rung ${k}`);
          b.conductance('line', from, next, 1);
          b.conductance('across', next, 0, 1);
          from = next;
        }
      }), unit: 'Ω', relative: INSULATED, note: 'from memory',
    });
  });

  it('stay the same when a triangle is exchanged for its star', () => {
    const [ab, bc, ca] = [12, 33, 47] as const;
    const sum = ab + bc + ca;
    const rest_ = (b: NetworkBuilder, a: number, other: number): void => {
      b.conductance('load', other, 0, 1 / 18);
      b.conductance('feed', a, other, 1 / 68);
    };
    const star = resistance_ohm((b, plus) => {
      const [other, middle] = [b.node('b'), b.node('middle')];
      b.conductance('a', plus, middle, sum / (ab * ca));
      b.conductance('b', other, middle, sum / (ab * bc));
      b.conductance('c', middle, 0, sum / (bc * ca));
      rest_(b, plus, other);
    });
    const triangle = resistance_ohm((b, plus) => {
      const other = b.node('b');
      b.conductance('ab', plus, other, 1 / ab);
      b.conductance('bc', other, 0, 1 / bc);
      b.conductance('ca', plus, 0, 1 / ca);
      rest_(b, plus, other);
    });
    external({
      source: 'A. E. Kennelly, The equivalence of triangles and three-pointed stars in conducting networks, Electrical World and Engineer 34 (1899) 413 (from memory)',
      what: 'a triangle of 12, 33 and 47 Ω and its star, in the same network: resistance at its input',
      expected: star, got: triangle, unit: 'Ω', relative: INSULATED, note: 'from memory',
    });
  });

  // Source: P. G. Doyle, J. L. Snell, Random Walks and Electric Networks (1984), Rayleigh's monotonicity law and the
  // reciprocity theorem. A slack of 1e-9 for rounding.
  const graph = fc.record({
    nodes: fc.integer({ min: 2, max: 9 }),
    edges: fc.array(fc.tuple(fc.nat(8), fc.nat(8), fc.double({ min: 1e-3, max: 10, noNaN: true })), { minLength: 3, maxLength: 25 }),
  });
  const network = (nodes: number, edges: readonly (readonly [number, number, number])[], plus: number, amps: number): RestPoint =>
    solved((b) => {
      const all = [0, ...Array.from({ length: nodes }, (_, k) => b.node(`n${k}`))];
      // An ampere or so out of a high voltage and resistance, everywhere the same circuit.
      for (let k = 1; k <= nodes; k++) b.source(`s${k}`, all[k]!, 0, k === plus ? amps * 1e3 : 0, 1e3);
      for (const [x, y, g] of edges) b.conductance('edge', all[x % (nodes + 1)]!, all[y % (nodes + 1)]!, g);
    });

  it('never conduct less for one more way (200 random networks, seed 42)', () => {
    fc.assert(fc.property(graph, fc.nat(24), ({ nodes, edges }, left) => {
      const fewer = network(nodes, edges.filter((_, k) => k !== left % edges.length), 1, 1).voltages[1]!;
      const all = network(nodes, edges, 1, 1).voltages[1]!;
      expect(all).toBeLessThanOrEqual(fewer * (1 + 1e-9) + 1e-12);
    }), { seed: 42, numRuns: 200 });
  });

  it('carry as much from here to there as from there to here (200 random networks, seed 43)', () => {
    fc.assert(fc.property(graph, ({ nodes, edges }) => {
      const there = network(nodes, edges, 1, 1).voltages[nodes]!;
      const here = network(nodes, edges, nodes, 1).voltages[1]!;
      expect(Math.abs(there - here)).toBeLessThanOrEqual(1e-9 * Math.abs(here) + 1e-12);
    }), { seed: 43, numRuns: 200 });
  });
});

describe('diodes at rest', () => {
  const law = { saturation_A: 2.5e-9, slope_V: 0.0455, series_ohm: 0.042 };

  /** Shockley's equation behind a resistance, by halving an interval. */
  function byHalving(source_V: number, ohm: number): number {
    let [low, high] = [0, source_V / ohm];
    for (let k = 0; k < 200; k++) {
      const middle = (low + high) / 2;
      const junction = law.slope_V * Math.log1p(middle / law.saturation_A);
      if (junction + middle * (ohm + law.series_ohm) < source_V) low = middle;
      else high = middle;
    }
    return low;
  }

  it.each([[0.5, 1000], [5, 1000], [42, 33], [42, 0.02]] as const)('carry what Shockley’s equation says, from %d V over %d Ω', (source_V, ohm) => {
    let diode = 0;
    const rest = solved((b) => {
      const plus = b.node('plus');
      b.source('source', plus, 0, source_V, ohm);
      diode = b.diode('diode', plus, 0, law);
    });
    external({
      source: 'W. Shockley, The theory of p-n junctions in semiconductors, Bell Syst. Tech. J. 28 (1949) 435, with a series resistance; solved by halving an interval',
      what: `diode of 2.5 nA, nVt 45.5 mV and 42 mΩ on ${source_V} V over ${ohm} Ω: current`,
      expected: byHalving(source_V, ohm), got: rest.current(diode), unit: 'A', relative: INSULATED,
    });
  });

  // Nearly ideal diodes: 0.1 mΩ and a knee of some 20 mV, against 100 V.
  const sharp = { saturation_A: 1e-9, slope_V: 1e-3, series_ohm: 1e-4 };

  /** Output of a six-diode bridge on three sources of unit peak a third of a turn apart, over a sixth of a turn. */
  function bridge(load_ohm: number): { readonly mean: number; readonly most: number } {
    const builder = new NetworkBuilder();
    const [plus, minus] = [builder.node('plus'), builder.node('minus')];
    const sources = [0, 1, 2].map((k) => {
      const phase = builder.node(`phase ${k}`);
      const source = builder.source(`winding ${k}`, phase, 0, 0, 1e-3);
      builder.diode(`upper ${k}`, phase, plus, sharp);
      builder.diode(`lower ${k}`, minus, phase, sharp);
      return source;
    });
    builder.conductance('load', plus, minus, 1 / load_ohm);
    const rest = new RestPoint(builder.finish());
    const steps = 360;
    let [sum, most] = [0, 0];
    for (let k = 0; k < steps; k++) {
      const angle = ((k + 0.5) / steps) * (Math.PI / 3);
      sources.forEach((source, phase) => (rest.numbers[source * 5 + 1] = -100 * Math.sin(angle - (phase * 2 * Math.PI) / 3)));
      expect(rest.solve()).toBe(true);
      const out = rest.voltages[plus]! - rest.voltages[minus]!;
      sum += out;
      most = Math.max(most, out);
    }
    return { mean: sum / steps, most };
  }

  it('rectify the voltages of a turning three-phase motor as the closed form says', () => {
    const { mean, most } = bridge(100);
    const source = 'N. Mohan, T. M. Undeland, W. P. Robbins, Power Electronics, 3rd ed., three-phase full-bridge rectifiers: Vdo = 1.35 V_LL, current commutating at once (from memory)';
    const line_V = (100 / Math.SQRT2) * Math.sqrt(3);
    // Tolerance: Vdo is printed with three figures (3√2/π = 1.3505), and each diode keeps some 20 mV of 100 V.
    external({ source, what: 'six body diodes on phases of 100 V peak: mean voltage', expected: 1.35 * line_V, got: mean, unit: 'V', relative: 1e-3, note: 'from memory' });
    external({ source, what: 'the same as 3·√3/π of the phase peak', expected: (3 * Math.sqrt(3) * 100) / Math.PI, got: mean, unit: 'V', relative: 5e-4, note: 'from memory' });
    // What a bank behind them holds when nothing draws, and why a turning motor is taken as that voltage behind two diodes.
    external({ source, what: 'six body diodes on phases of 100 V peak: highest voltage, √3 of the phase peak', expected: Math.sqrt(3) * 100, got: most, unit: 'V', relative: 5e-4, note: 'from memory' });
  });

  it('leave at most one twentieth between the mean and the peak, which is all that one source for three phases leaves out', () => {
    const { mean, most } = bridge(100);
    expect(1 - mean / most).toBeGreaterThan(0.04);
    expect(1 - mean / most).toBeLessThan(0.05);
  });
});

describe('a load of constant power at rest', () => {
  /** Behind 1 Ω on 40 V; `least_V` is where it stops. */
  function behindOneOhm(power_W: number, least_V: number): { readonly found: boolean; readonly volts: number } {
    const builder = new NetworkBuilder();
    const plus = builder.node('plus');
    builder.source('source', plus, 0, 40, 1);
    const load = builder.power('load', plus, 0, power_W);
    const rest = new RestPoint(builder.finish());
    expect(rest.solve()).toBe(true);
    rest.numbers[load * 5] = 1;
    const found = rest.solve({ plus, minus: 0, least_V });
    return { found, volts: rest.voltages[plus]! };
  }

  it.each([1, 100, 300, 390, 399])('settles %d W at the upper root of its quadratic', (power_W) => {
    const { found, volts } = behindOneOhm(power_W, 5);
    expect(found).toBe(true);
    external({
      source: 'the quadratic v² − 40 v + P·1 Ω = 0, by its formula',
      what: `${power_W} W behind 1 Ω on 40 V: voltage`,
      // The law’s floor of 1 V is rounded over 0.1 V: 1e-4 of the current at these voltages.
      expected: 20 + Math.sqrt(400 - power_W), got: volts, unit: 'V', relative: power_W < 350 ? 1e-4 : 1e-3,
    });
  });

  it.each([401, 450, 4000])('finds no rest for %d W, more than the source can give (maximum power theorem: 400 W)', (power_W) => {
    expect(behindOneOhm(power_W, 5).found).toBe(false);
  });

  it('does not take the upper root when that lies under its stop voltage', () => {
    expect(behindOneOhm(300, 29).found).toBe(true);
    expect(behindOneOhm(300, 31).found).toBe(false);
  });
});
