import { describe, expect, it } from 'vitest';
import { fusingCurrent_A, onderdonkCurrent_A, onderdonkTime_s, preeceCurrent_A, preeceDiameter_m } from '../../src/physics/fusing.ts';
import { external } from '../external.ts';

const INCH = 0.0254;
const gaugeDiameter_m = (gauge: number): number => 0.127e-3 * 92 ** ((36 - gauge) / 39);
const gaugeSection_m2 = (gauge: number): number => (Math.PI / 4) * gaugeDiameter_m(gauge) ** 2;

describe('fusing current', () => {
  // Onderdonk at 25 °C: 10 ms, 100 ms, 1 s, 10 s, then Preece. Values printed to three or four figures.
  it.each([
    [10, [15190, 4804, 1519, 480], 333],
    [14, [6008, 1900, 601, 190], 166],
    [18, [2376, 752, 238, 75.1], 82.9],
    [24, [591, 187, 59.1, 18.7], 29.2],
  ] as const)('melts %i AWG copper', (gauge, onderdonk, preece) => {
    [0.01, 0.1, 1, 10].forEach((time, k) => {
      external({
        source: 'E. R. Stauffacher, General Electric Review, 1928 (Onderdonk)',
        what: `${gauge} AWG, ${time} s from 25 °C`,
        expected: onderdonk[k]!,
        got: onderdonkCurrent_A(gaugeSection_m2(gauge), time, 25),
        unit: 'A',
        relative: 0.003,
      });
    });
    external({
      source: 'W. H. Preece, Proc. Royal Society, 1884 to 1888',
      what: `steady fusing current of ${gauge} AWG copper`,
      expected: preece,
      got: preeceCurrent_A(gaugeDiameter_m(gauge)),
      unit: 'A',
      relative: 0.003,
    });
  });

  it('has the sign of 234 + ambient right', () => {
    // The public example prints 178 A for 2581 circular mils, 5 s, 25 °C: the result of 234 − 25.
    external({
      source: "Onderdonk's equation, worked example with the common sign error undone",
      what: '2581 circular mils, 5 s from 25 °C',
      expected: 168.9,
      got: onderdonkCurrent_A(2581 * (Math.PI / 4) * 25.4e-6 ** 2, 5, 25),
      unit: 'A',
      absolute: 0.05,
    });
  });

  it.each([
    ['copper', 10, 0.0098],
    ['copper', 50, 0.0288],
    ['copper', 100, 0.0457],
    ['copper', 200, 0.0725],
    ['copper', 300, 0.095],
    // One page prints 0.1208 for aluminium at 250 A; the formula gives 0.1028.
    ['aluminium', 250, 0.1028],
  ] as const)('gives the diameter of %s that melts at %d A', (metal, current, inches) => {
    external({
      source: 'W. H. Preece, Proc. Royal Society, 1884 to 1888, table of fuse wires',
      what: `${metal} wire fused by ${current} A`,
      expected: inches,
      got: preeceDiameter_m(current, metal) / INCH,
      unit: 'in',
      absolute: 0.00006,
    });
  });

  it.each([
    ['copper', 80.02],
    ['aluminium', 59.25],
    ['iron', 24.6],
    ['tin', 12.8],
    ['lead', 10.8],
  ] as const)('has the metric constant of %s', (metal, constant) => {
    external({
      source: "Preece's constants in metric handbooks",
      what: `${metal}, A per mm^1.5`,
      expected: constant,
      got: preeceCurrent_A(1e-3, metal),
      unit: 'A/mm^1.5',
      relative: 0.005,
    });
  });

  it('takes the larger of the two and inverts', () => {
    const section = gaugeSection_m2(16);
    expect(fusingCurrent_A(section, 0.1, 25)).toBe(onderdonkCurrent_A(section, 0.1, 25));
    expect(fusingCurrent_A(section, 100, 25)).toBeCloseTo(preeceCurrent_A(gaugeDiameter_m(16)), 9);
    expect(onderdonkTime_s(section, onderdonkCurrent_A(section, 3, 25), 25)).toBeCloseTo(3, 12);
    expect(() => onderdonkCurrent_A(section, NaN, 25)).toThrow(RangeError);
    expect(() => preeceCurrent_A(-1)).toThrow(RangeError);
  });
});
