/**
 * Quantile of the standard normal distribution, to about seven figures for 1e-10 < u < 1 − 1e-10.
 * @param u  probability, 0 < u < 1
 * @throws RangeError outside that range (NaN included)
 * @see M. J. Wichura, Algorithm AS 241 (PPND7), Applied Statistics 37 (1988), 477–484
 */
export function normalQuantile(u: number): number {
  if (!(u > 0 && u < 1)) throw new RangeError(`u: expected 0 < u < 1, got ${u}`);
  const q = u - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (
      (q * (((59.10937472 * r + 159.29113202) * r + 50.434271938) * r + 3.3871327179)) /
      (((67.1875636 * r + 78.757757664) * r + 17.895169469) * r + 1)
    );
  }
  const tail = Math.sqrt(-Math.log(q < 0 ? u : 1 - u));
  const magnitude = tail <= 5 ? nearTail(tail - 1.6) : farTail(tail - 5);
  return q < 0 ? -magnitude : magnitude;
}

function nearTail(r: number): number {
  return (
    (((0.17023821103 * r + 1.3067284816) * r + 2.75681539) * r + 1.4234372777) /
    ((0.12021132975 * r + 0.7370016425) * r + 1)
  );
}

function farTail(r: number): number {
  return (
    (((0.017337203997 * r + 0.42868294337) * r + 3.081226386) * r + 6.657905115) /
    ((0.012258202635 * r + 0.24197894225) * r + 1)
  );
}
