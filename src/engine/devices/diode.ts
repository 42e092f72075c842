import type { Expr } from '../expression.ts';
import type { CircuitNode, SystemBuilder } from '../system.ts';

/** Parameters of a Shockley diode with series resistance. */
export interface DiodeLaw {
  /** Saturation current, A. */
  readonly saturation_A: number;
  /** Emission coefficient times thermal voltage, V. */
  readonly slope_V: number;
  /** Series resistance, Ω, above zero. */
  readonly series_ohm: number;
}

export interface DiodeHandle {
  readonly saturation: number;
  readonly slope: number;
  readonly series: number;
  readonly current: Expr;
  readonly heat: number | undefined;
}

/**
 * A diode that conducts from `anode` to `cathode`: i = Is (exp(u/nVt) − 1) behind its series resistance, in closed form
 * i = (nVt/Rs) ω((v + Is Rs)/nVt + ln(Is Rs/nVt)) − Is.
 *
 * In a lead with inductance (`damped`) it carries the loss of its junction charge, 1 nF through 33 Ω: otherwise the
 * lead would ring with nothing when the diode blocks.
 * @see T. C. Banwell, A. Jayakumar, Electronics Letters 36 (2000) 291, eq. 5 (Lambert W form)
 */
export function addDiode(
  b: SystemBuilder,
  name: string,
  anode: CircuitNode,
  cathode: CircuitNode,
  law: DiodeLaw,
  options: { readonly damped?: boolean; readonly heatScale_J?: number } = {},
): DiodeHandle {
  const g = b.graph;
  const saturation = b.parameter(`${name} saturation current`, law.saturation_A);
  const slope = b.parameter(`${name} slope voltage`, law.slope_V);
  const series = b.parameter(`${name} series resistance`, law.series_ohm);
  const logarithm = b.parameter(`${name} ln(Is Rs / nVt)`, Math.log((law.saturation_A * law.series_ohm) / law.slope_V));
  const across = g.subtract(anode.voltage, cathode.voltage);
  const knee = g.divide(g.multiply(saturation.value, series.value), slope.value);
  const argument = g.add(g.divide(across, slope.value), g.add(knee, logarithm.value));
  const current = g.subtract(g.multiply(g.divide(slope.value, series.value), g.omega(argument)), saturation.value);
  b.flow(anode, cathode, current);
  const power = g.multiply(across, current);
  const heat = options.heatScale_J === undefined ? undefined : b.lossQuadrature(`${name} heat`, power, options.heatScale_J);
  if (heat === undefined) b.account('loss', power);
  if (options.damped === true) addJunctionCharge(b, name, anode, cathode);
  return { saturation: saturation.index, slope: slope.index, series: series.index, current, heat };
}

/** Sets a diode's law in a parameter array. */
export function setDiodeLaw(p: Float64Array, handle: DiodeHandle, law: DiodeLaw): void {
  p[handle.saturation] = law.saturation_A;
  p[handle.slope] = law.slope_V;
  p[handle.series] = law.series_ohm;
  // The logarithm is the parameter after the three, in the order in which addDiode makes them.
  p[handle.series + 1] = Math.log((law.saturation_A * law.series_ohm) / law.slope_V);
}

function addJunctionCharge(b: SystemBuilder, name: string, anode: CircuitNode, cathode: CircuitNode): void {
  const g = b.graph;
  const charge = b.state(`${name} junction voltage`, 'voltage', 0);
  const current = g.divide(g.subtract(g.subtract(anode.voltage, cathode.voltage), charge.value), g.constant(JUNCTION_LOSS_OHM));
  b.flow(anode, cathode, current);
  b.rate(charge, g.divide(current, g.constant(JUNCTION_CAPACITANCE_F)));
  b.join(anode, cathode);
  b.account('loss', g.multiply(g.constant(JUNCTION_LOSS_OHM), g.square(current)));
  b.stored(g.multiply(g.constant(JUNCTION_CAPACITANCE_F / 2), g.square(charge.value)));
}

const JUNCTION_CAPACITANCE_F = 1e-9;
const JUNCTION_LOSS_OHM = 33;
