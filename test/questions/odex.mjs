import { createRequire } from 'node:module';

// The package ships TypeScript that a strict compiler refuses; required, only its JavaScript is loaded.
const { Solver, Outcome } = createRequire(import.meta.url)('odex');

export function integrate(slope, from, start, to, tolerance = 1e-10) {
  const solver = new Solver(start.length);
  solver.absoluteTolerance = tolerance;
  solver.relativeTolerance = tolerance;
  solver.maxSteps = 200_000;
  const { outcome, y } = solver.solve(slope, from, start, to);
  if (outcome !== Outcome.Converged) throw new Error(`odex did not converge: ${outcome}`);
  return y;
}
