import { describe, expect, it } from 'vitest';
import { CELL_CURVES, stepCurveAt } from '../../src/physics/cell-curves.ts';
import { OPEN_CIRCUIT, openCircuit_V, type Chemistry } from '../../src/physics/cells.ts';
import { external } from '../external.ts';

describe('rest voltage in closed form', () => {
  it.each([[0.1, 3.268], [0.198, 3.411], [0.35, 3.61], [0.499, 3.752], [0.648, 3.881], [0.8, 4.037], [0.949, 4.111]])('stays near the measured NCA cell at %d', (soc, volts) => {
    external({
      source: 'derlucae98/US18650VTC6_OCV_SOC_Curve (MIT): measured at C/20, mean of charge and discharge',
      what: `NCA rest voltage at ${soc * 100} %, closed form`, expected: volts, got: stepCurveAt(CELL_CURVES.nca, soc), unit: 'V', absolute: 0.009,
      note: 'charge and discharge curves of one cell lie further apart than that',
    });
  });

  it.each([[0.1, 3.296], [0.3, 3.581], [0.5, 3.751], [0.7, 3.948], [0.9, 4.097]])('stays near the published NMC fit at %d', (soc, volts) => {
    external({
      source: 'C.-H. Chen et al., J. Electrochem. Soc. 167 (2020) 080534, half-cell fits',
      what: `NMC rest voltage at ${soc * 100} %, closed form`, expected: volts, got: stepCurveAt(CELL_CURVES.nmc, soc), unit: 'V', absolute: 0.018,
      note: 'coefficients of the source from memory',
    });
  });

  it.each(Object.keys(CELL_CURVES) as Chemistry[])('rises everywhere, beyond empty and full too, and follows its table: %s', (chemistry) => {
    const curve = CELL_CURVES[chemistry];
    let before = -Infinity;
    for (let k = -100; k <= 1100; k++) {
      const now = stepCurveAt(curve, k / 1000);
      expect(now).toBeGreaterThan(before);
      before = now;
    }
    const { soc } = OPEN_CIRCUIT[chemistry];
    for (const s of soc) expect(Math.abs(stepCurveAt(curve, s) - openCircuit_V(chemistry, s))).toBeLessThan(0.018);
  });
});
