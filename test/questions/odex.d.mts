/** Integrates y' = slope(x, y) with odex 2.0.4 (extrapolation after Gragg, Bulirsch and Stoer; E. Hairer, G. Wanner). */
export function integrate(slope: (x: number, y: number[]) => number[], from: number, start: number[], to: number, tolerance?: number): number[];
