import type { Chemistry } from './cells.ts';

/** A rising curve as a line and steps: v(s) = offset + slope·s + Σ height·x/√(1 + x²), x = (s − middle)/width. */
export interface StepCurve {
  readonly offset: number;
  readonly slope: number;
  readonly steps: readonly { readonly middle: number; readonly width: number; readonly height: number }[];
}

/**
 * Rest voltage of one cell over its state of charge in closed form, for equations that must be differentiated. Fitted to
 * the tables of `OPEN_CIRCUIT` by non-negative least squares, so that every one rises everywhere; largest distance from
 * its table 4 mV (lipo, lfp), 8 mV (nca), 17 mV (nmc). Sources and their standing are the tables'.
 */
export const CELL_CURVES: Readonly<Record<Chemistry, StepCurve>> = {
  lipo: {
    offset: 3.257125,
    slope: 0.188060,
    steps: [
      { middle: -0.02, width: 0.03, height: 0.519880 },
      { middle: 0.03, width: 0.03, height: 0.111018 },
      { middle: 0.33, width: 0.2, height: 0.026099 },
      { middle: 0.66, width: 0.03, height: 0.021771 },
      { middle: 0.89, width: 0.2, height: 0.157111 },
    ],
  },
  nca: {
    offset: 1.822754,
    slope: 0.299255,
    steps: [
      { middle: -0.02, width: 0.03, height: 1.753893 },
      { middle: 0.21, width: 0.15, height: 0.141341 },
      { middle: 0.55, width: 0.3, height: 0.158484 },
      { middle: 0.75, width: 0.02, height: 0.029239 },
      { middle: 1, width: 0.02, height: 0.041983 },
    ],
  },
  nmc: {
    offset: 2.107802,
    slope: 0.504273,
    steps: [
      { middle: -0.02, width: 0.03, height: 0.583636 },
      { middle: -0.02, width: 0.05, height: 0.807882 },
      { middle: 0.11, width: 0.05, height: 0.077342 },
      { middle: 0.59, width: 0.3, height: 0.147070 },
      { middle: 1, width: 0.02, height: 0.031471 },
    ],
  },
  lfp: {
    offset: 2.678723,
    slope: 0.006372,
    steps: [
      { middle: 0, width: 0.05, height: 0.700598 },
      { middle: 0.26, width: 0.1, height: 0.044305 },
      { middle: 0.71, width: 0.1, height: 0.016208 },
      { middle: 0.72, width: 0.03, height: 0.006015 },
      { middle: 1, width: 0.02, height: 0.115490 },
    ],
  },
};

/** Value of a step curve, V. */
export function stepCurveAt(curve: StepCurve, soc: number): number {
  return curve.steps.reduce((sum, { middle, width, height }) => {
    const x = (soc - middle) / width;
    return sum + (height * x) / Math.sqrt(1 + x * x);
  }, curve.offset + curve.slope * soc);
}
