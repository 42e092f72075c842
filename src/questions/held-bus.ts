/** A load that draws by its voltage: `current_A` at once above `at_V`, and `slope_S` for every volt above it. */
export interface Draw {
  readonly at_V: number;
  readonly current_A: number;
  readonly slope_S: number;
}

/** A load of constant power that starts and stops; stop below start. */
export interface PowerLoad {
  readonly power_W: number;
  readonly start_V: number;
  readonly stop_V: number;
}

/** Banks that are charged through a resistor, as one capacitance, with what draws from them. */
export interface HeldBus {
  readonly supply_V: number;
  readonly resistance_ohm: number;
  readonly capacitance_F: number;
  readonly draws: readonly Draw[];
  readonly powers: readonly PowerLoad[];
}

export interface HeldVoltages {
  /** Bus voltage at each of the times asked for, V. */
  readonly volts: readonly number[];
  /** A load started again and again; from then on the voltages are the middle of its swing. */
  readonly hiccups: boolean;
}

/** A load that has started this often without staying on is taken to go on so for ever. */
const HICCUPS = 4;
/** Step of the numerical phases in local time constants: the fourth-order method then errs by less than a microvolt. */
const STEP = 0.04;
const MOST_STEPS = 20_000;
/** A full step that moves the bus by less ends in a rest. */
const AT_REST_V = 1e-9;

/**
 * Voltages of an empty bus that is held on its soft start from time 0:
 *     C dv/dt = (V − v)/R − Σ draws(v) − Σ P/v of the loads that have started
 * In closed form, piece by piece between thresholds; by the classical fourth-order Runge–Kutta method while a constant
 * power is on. Where a draw takes more above its threshold than the resistor gives, the bus stays at that threshold.
 * @param times_s  ascending, ≥ 0; Infinity asks for the voltage at rest
 * @throws RangeError when supply, resistance or capacitance is not above zero
 */
export function heldVoltages(bus: HeldBus, times_s: readonly number[]): HeldVoltages {
  for (const key of ['supply_V', 'resistance_ohm', 'capacitance_F'] as const)
    if (!(bus[key] > 0)) throw new RangeError(`${key}: expected > 0, got ${bus[key]}`);
  const walk = new Walk(bus);
  const volts = times_s.map((time_s) => walk.goTo(time_s));
  return { volts, hiccups: walk.hiccups };
}

class Walk {
  hiccups = false;
  private t = 0;
  private v = 0;
  /** Draws up to this one, in the order of their thresholds, are active. */
  private active = 0;
  private stays = false;
  private readonly draws: readonly Draw[];
  private readonly on: boolean[];
  private readonly starts: number[];
  /** Current less slope·voltage flows into the banks, were no power on. */
  private current_A = 0;
  private slope_S = 0;
  private power_W = 0;

  constructor(private readonly bus: HeldBus) {
    this.draws = [...bus.draws].sort((a, b) => a.at_V - b.at_V);
    this.active = this.draws.filter((draw) => draw.at_V <= 0).length;
    this.on = bus.powers.map(() => false);
    this.starts = bus.powers.map(() => 0);
    this.setMode();
  }

  goTo(time_s: number): number {
    while (this.t < time_s && !this.stays && !this.hiccups) {
      if (this.power_W > 0) this.numerically(time_s);
      else this.exactly(time_s);
    }
    return this.v;
  }

  private setMode(): void {
    const { supply_V, resistance_ohm, powers } = this.bus;
    this.current_A = supply_V / resistance_ohm;
    this.slope_S = 1 / resistance_ohm;
    for (const draw of this.draws.slice(0, this.active)) {
      this.current_A -= draw.current_A - draw.slope_S * draw.at_V;
      this.slope_S += draw.slope_S;
    }
    this.power_W = powers.reduce((sum, load, k) => sum + (this.on[k] === true ? load.power_W : 0), 0);
  }

  /** dv/dt, V/s. */
  private rate(v: number): number {
    return (this.current_A - this.slope_S * v - (this.power_W > 0 ? this.power_W / v : 0)) / this.bus.capacitance_F;
  }

  private exactly(time_s: number): void {
    const end = this.current_A / this.slope_S;
    const constant = this.bus.capacitance_F / this.slope_S;
    const edge = this.edge(end > this.v);
    // Time to the edge; never when the end lies before it.
    const share = (end - edge) / (end - this.v);
    const arrives = share > 0 && share <= 1 ? this.t - constant * Math.log(share) : Infinity;
    if (arrives <= time_s && arrives < Infinity) {
      this.t = arrives;
      this.cross(edge, end > this.v);
      return;
    }
    this.v = end + (this.v - end) * Math.exp(-(time_s - this.t) / constant);
    this.t = time_s;
  }

  private numerically(time_s: number): void {
    const rising = this.rate(this.v) > 0;
    const edge = this.edge(rising);
    for (let k = 0; k < MOST_STEPS; k += 1) {
      const local = this.bus.capacitance_F / (this.slope_S + this.power_W / this.v ** 2);
      const full = STEP * local;
      const h = Math.min(full, time_s - this.t);
      const next = this.stepped(h);
      if (rising ? next >= edge : next <= edge) {
        this.t += this.crossing(edge, h, rising);
        this.cross(edge, rising);
        return;
      }
      const moved = Math.abs(next - this.v);
      this.v = next;
      this.t = time_s - this.t <= h ? time_s : this.t + h;
      if (this.t >= time_s) return;
      if (h === full && moved < AT_REST_V) break;
    }
    this.stays = true;
  }

  private stepped(h: number): number {
    const { v } = this;
    const k1 = this.rate(v);
    const k2 = this.rate(v + (h / 2) * k1);
    const k3 = this.rate(v + (h / 2) * k2);
    const k4 = this.rate(v + h * k3);
    return v + (h / 6) * (k1 + 2 * k2 + 2 * k3 + k4);
  }

  private crossing(edge: number, step: number, rising: boolean): number {
    let [low, high] = [0, step];
    for (let k = 0; k < 40; k += 1) {
      const middle = (low + high) / 2;
      if (this.stepped(middle) >= edge === rising) high = middle;
      else low = middle;
    }
    return high;
  }

  /** The next voltage at which something changes on the way up or down; infinite when nothing does. */
  private edge(rising: boolean): number {
    const { powers } = this.bus;
    if (rising) return Math.min(this.draws[this.active]?.at_V ?? Infinity, ...powers.filter((_, k) => this.on[k] !== true).map((load) => load.start_V));
    return Math.max(this.draws[this.active - 1]?.at_V ?? -Infinity, ...powers.filter((_, k) => this.on[k] === true).map((load) => load.stop_V));
  }

  private cross(edge: number, rising: boolean): void {
    this.v = edge;
    this.bus.powers.forEach((load, k) => {
      if (rising && this.on[k] !== true && load.start_V === edge) {
        this.on[k] = true;
        this.starts[k] = (this.starts[k] ?? 0) + 1;
        if (this.starts[k] >= HICCUPS) {
          this.hiccups = true;
          this.v = (load.start_V + load.stop_V) / 2;
        }
      } else if (!rising && this.on[k] === true && load.stop_V === edge) this.on[k] = false;
    });
    const passed = rising ? this.draws[this.active]?.at_V === edge : this.draws[this.active - 1]?.at_V === edge;
    if (passed) this.active += rising ? 1 : -1;
    this.setMode();
    if (passed && this.rate(edge) > 0 !== rising) this.stays = true;
  }
}
