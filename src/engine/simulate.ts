import type { Automaton, Note, RunControl } from './automaton.ts';
import { balanceOf, type Balance } from './balance.ts';
import type { Model } from './model.ts';
import type { Outcome, Refusal, Statistics } from './outcome.ts';
import { Peaks, type Peak, type PeakRequest } from './peaks.ts';
import { Recorder, type Recording, type RecordRequest } from './recorder.ts';
import { alike, looksAtSums, notesOf, Repetition, roundsToWrite, type Repeats } from './repetition.ts';
import { Stepper } from './stepper.ts';
import { RODAS5P, type Tableau } from './tableau.ts';

/** Something done at a known time: a button pressed, a contact closed. */
export interface ScheduledAction {
  readonly time: number;
  readonly action: (run: RunControl) => void;
  /** What kind of event it is: the next one of its kind starts with the step that this one found. */
  readonly kind?: string | undefined;
}

export interface RunRequest {
  readonly model: Model;
  /** Parameters at the start, derived part included or not; they are copied. */
  readonly parameters: Float64Array;
  /** Unknowns at the start; algebraic ones are only a first guess. */
  readonly initial: Float64Array;
  readonly start_s?: number;
  readonly end_s: number;
  readonly automata: readonly Automaton[];
  readonly script: readonly ScheduledAction[];
  /** Relative tolerance. */
  readonly tolerance?: number;
  readonly method?: Tableau;
  readonly peaks?: readonly PeakRequest[];
  readonly record?: RecordRequest;
  readonly maximumSteps?: number;
}

export interface Run {
  readonly end_s: number;
  readonly unknowns: Float64Array;
  readonly parameters: Float64Array;
  readonly watched: Float64Array;
  readonly notes: readonly Note[];
  readonly peaks: readonly Peak[];
  readonly recording: Recording;
  readonly balance: Balance;
}

/**
 * Runs a circuit from a state through scheduled actions and events to a time. Checks itself: consistent states, finite
 * values, steps that do not collapse, and the balance of energy within ten times the tolerance.
 */
export function simulate(request: RunRequest): Outcome<Run> {
  return new Simulation(request).run();
}

class Simulation {
  private readonly stepper: Stepper;
  private readonly p: Float64Array;
  private readonly watched: Float64Array;
  private readonly located: Float64Array;
  private readonly distances: Float64Array;
  private readonly tolerance: number;
  private readonly order: number;
  private readonly statistics: Statistics = { steps: 0, rejected: 0, evaluations: 0, events: 0, projections: 0 };
  private readonly notes: Note[] = [];
  /** Rising in time; what stands before `due` is done. */
  private readonly agenda: ScheduledAction[];
  private due = 0;
  private readonly peaks: Peaks;
  private readonly recorder: Recorder;
  /** First step that could have been taken after each kind of event, so that the next one starts there. */
  private readonly firstSteps = new Map<string, number>();
  private readonly atStart: Float64Array;
  /** What events see of the run; its time is the run's clock. */
  private readonly control: { -readonly [K in keyof RunControl]: RunControl[K] };
  private refusal: Refusal | undefined;
  /** Where rounds may be left out: nobody wants to see them, and each is the same as the one before. */
  private readonly repetition: Repetition | undefined;

  constructor(private readonly request: RunRequest) {
    const { model } = request;
    this.tolerance = request.tolerance ?? 1e-5;
    const method = request.method ?? RODAS5P;
    this.order = method.order;
    this.stepper = Stepper.take(model, method, this.tolerance);
    this.p = this.stepper.p;
    this.p.set(request.parameters.subarray(0, this.p.length));
    const { scratch } = this.stepper;
    this.watched = scratch.watched;
    this.located = scratch.located;
    this.distances = new Float64Array(request.automata.length);
    this.stepper.y.set(request.initial);
    this.atStart = scratch.atStart;
    this.atStart.set(request.initial);
    this.agenda = [...request.script].sort((a, b) => a.time - b.time);
    this.peaks = new Peaks(model, request.peaks ?? NO_PEAKS, scratch);
    this.recorder = new Recorder(model, request.record, scratch);
    this.repetition = request.record === undefined && !looksAtSums(model, request.peaks ?? NO_PEAKS) ? new Repetition() : undefined;
    this.control = {
      time: request.start_s ?? 0,
      parameters: this.p,
      unknowns: this.stepper.y,
      watched: this.watched,
      schedule: (time, action, kind) => {
        this.insert({ time, action, kind });
      },
      stop: () => {
        this.stopped = true;
      },
      note: (what, value) => {
        this.notes.push({ time: this.control.time, what, value });
      },
    };
  }

  run(): Outcome<Run> {
    const { model, end_s } = this.request;
    model.kernel.prepare(this.p);
    this.settle('start');
    const storedBefore = this.storedEnergy();
    if (this.refusal === undefined) this.recorder.take(this.control.time, this.stepper.y, this.p);
    while (this.refusal === undefined) {
      const next = this.agenda[this.due]?.time ?? Infinity;
      if (next <= this.control.time) this.actNow();
      else if (this.control.time < end_s && !this.stopped) this.advance(Math.min(end_s, next));
      else break;
    }
    return this.close(storedBefore);
  }

  /** Integrates to `until` or to the first event before it. */
  private advance(until: number): void {
    const { stepper } = this;
    const maximumSteps = this.request.maximumSteps ?? 500_000;
    let h = this.firstStep;
    let growthAllowed = true;
    let previousDecade = NaN;
    let previousStep = 0;
    let rejectedHere = 0;
    let first = true;
    while (this.control.time < until) {
      const left = until - this.control.time;
      if (h > 0.9 * left) h = h < 1.8 * left && h < left ? left / 2 : left;
      const smallest = 4e-16 * Math.max(Math.abs(this.control.time), 1e-3);
      if (h < smallest && left > smallest) {
        this.refuse('the step collapsed', this.worstUnknown(), `step of ${h} s`);
        return;
      }
      if (this.statistics.steps + this.statistics.rejected > maximumSteps) {
        this.refuse('too many steps', this.worstUnknown(), `${maximumSteps} steps`);
        return;
      }

      const error = stepper.attempt(this.control.time, h);
      if (!(error <= 1)) {
        this.statistics.rejected++;
        rejectedHere++;
        h = error === Infinity ? h / 10 : Math.max(h / 10, 0.9 * h * error ** (-1 / this.order));
        growthAllowed = false;
        if (rejectedHere === 2) this.reproject();
        continue;
      }
      this.statistics.steps++;
      rejectedHere = 0;

      // Powers of the error through one logarithm: three powers a step took a tenth of a run's time.
      const decade = Math.log(Math.max(error, 1e-10)) / this.order;
      let factor = decade < FULL_GROWTH ? 6 : 0.9 * Math.exp(-decade);
      if (previousStep > 0) {
        // Gustafsson's predictor: the error's own trend limits the next step.
        const trend = (h / previousStep) * Math.exp(previousDecade - 2 * decade) * 0.9;
        factor = Math.min(factor, Math.max(trend, 0.2));
      }
      if (!growthAllowed) factor = Math.min(factor, 1);
      growthAllowed = true;
      const reached = this.control.time + h >= until - smallest ? until : this.control.time + h;
      if (first) {
        this.firstSteps.set(this.kind, h === left ? Math.max(h, this.firstSteps.get(this.kind) ?? 0) : h * Math.max(factor, 1));
        first = false;
      }
      previousDecade = Math.max(decade, Math.log(1e-2) / this.order);
      previousStep = h;

      if (this.eventWithin(h)) return;
      this.peaks.inspect(stepper, this.control.time, h, this.p);
      this.recorder.within(stepper, this.control.time, h, 1, this.p);
      stepper.accept();
      this.control.time = reached;
      stepper.begin(this.control.time);
      if (!(stepper.algebraicResidual() <= 0.1 * this.tolerance)) this.reproject();
      if (this.refusal !== undefined) return;
      this.recorder.take(this.control.time, stepper.y, this.p);
      h *= factor;
    }
  }

  private kind = 'start';
  private stopped = false;

  private get firstStep(): number {
    return this.firstSteps.get(this.kind) ?? FIRST_STEP_S;
  }

  /** Looks for automata that want to switch by the end of the attempted step; goes to the earliest and lets it. */
  private eventWithin(h: number): boolean {
    const { automata } = this.request;
    if (automata.length === 0) return false;
    const { stepper } = this;
    this.watchAt(this.control.time + h, stepper.yNew);
    let any = false;
    for (let k = 0; k < automata.length; k++) {
      const distance = automata[k]!.distance(this.watched, this.p);
      this.distances[k] = distance;
      if (distance >= 0) any = true;
    }
    if (!any) return false;

    let earliest = 1;
    for (let k = 0; k < automata.length; k++)
      if (this.distances[k]! >= 0) earliest = Math.min(earliest, this.locate(automata[k]!, earliest, h));
    this.recorder.within(stepper, this.control.time, h, earliest, this.p);
    if (earliest < 1) {
      // A real step to the event keeps the method's order there; the dense output only found the moment.
      stepper.interpolate(earliest, this.located);
      if (stepper.attempt(this.control.time, h * earliest) > 10) stepper.yNew.set(this.located);
    }
    // What the step would have done beyond the event never happened.
    this.peaks.inspect(stepper, this.control.time, h * earliest, this.p);
    stepper.accept();
    this.control.time += h * earliest;
    this.watchAt(this.control.time, stepper.y);
    let who: string | undefined;
    const noted = this.notes.length;
    for (const automaton of automata) {
      // Identical branches differ in the last bits: all that are within a microvolt or a microamp switch together.
      if (automaton.distance(this.watched, this.p) < -1e-6) continue;
      this.statistics.events++;
      automaton.fire(this.control);
      who ??= automaton.name;
    }
    this.settle(who ?? 'event');
    this.recorder.take(this.control.time, stepper.y, this.p);
    // One automaton switches both ways: what it wrote tells them apart.
    if (this.refusal === undefined && who !== undefined) this.leaveOut(this.notes[noted]?.what ?? who);
    return true;
  }

  /** Goes on past rounds that repeat the last one, up to whatever comes next from outside. */
  private leaveOut(who: string): void {
    const { repetition, stepper } = this;
    const repeats = repetition?.seen(who, this.control.time, stepper, this.notes, this.request.model.plan.states);
    if (repetition === undefined || repeats === undefined || this.stopped) return;
    const { period_s } = repeats;
    const until = Math.min(this.request.end_s, this.agenda[this.due]?.time ?? Infinity, this.peaks.nextSpan(this.control.time));
    let rounds = Math.min(repeats.most, Math.floor((until - this.control.time) / period_s) - 1, roundsToWrite(repeats, this.notes.length));
    // What would switch on the way must not be passed over.
    while (rounds > 0 && !this.mayPass(repeats, rounds)) rounds = Math.floor(rounds / 2);
    if (!(rounds > 0)) return;
    stepper.y.set(this.located);
    for (const note of notesOf(repeats, rounds)) this.notes.push(note);
    this.control.time += rounds * period_s;
    this.settle(who);
    repetition.moved(who, rounds, this.control.time, stepper, this.notes.length);
  }

  /** Puts the unknowns after some rounds into `located`; whether neither time itself nor a sum matters, and nothing switches. */
  private mayPass({ period_s, gained }: Repeats, rounds: number): boolean {
    const { stepper, request } = this;
    const { kernel, plan } = request.model;
    const { rates } = stepper.scratch;
    const later_s = this.control.time + rounds * period_s;
    this.watchAt(this.control.time, stepper.y);
    request.automata.forEach((automaton, k) => (this.distances[k] = automaton.distance(this.watched, this.p)));
    stepper.y.forEach((value, k) => (this.located[k] = k < plan.states ? value : value + rounds * gained[k]!));
    kernel.rates(later_s, this.located, this.p, rates);
    for (let k = 0; k < plan.states; k++) if (!alike(rates[k]!, stepper.f0[k]!)) return false;
    this.watchAt(later_s, this.located);
    if (!request.automata.every((automaton, k) => alike(automaton.distance(this.watched, this.p), this.distances[k]!))) return false;
    for (let k = 0; k < plan.states; k++) this.located[k] = stepper.y[k]! + rounds * gained[k]!;
    this.watchAt(later_s, this.located);
    return request.automata.every((automaton) => automaton.distance(this.watched, this.p) < 0);
  }

  /** Fraction of the step at which the automaton's distance reaches zero (Illinois' false position on the dense output). */
  private locate(automaton: Automaton, upTo: number, h: number): number {
    const at = (theta: number): number => {
      this.stepper.interpolate(theta, this.located);
      this.watchAt(this.control.time + theta * h, this.located);
      return automaton.distance(this.watched, this.p);
    };
    let low = 0;
    let high = upTo;
    let fHigh = at(high);
    if (fHigh < 0) return upTo;
    let fLow = at(0);
    if (fLow >= 0) return 0;
    let side = 0;
    for (let pass = 0; pass < 60 && high - low > 1e-12 && fHigh > 1e-10; pass++) {
      let middle = high - (fHigh * (high - low)) / (fHigh - fLow);
      if (!(middle > low && middle < high)) middle = 0.5 * (low + high);
      const f = at(middle);
      if (f >= 0) {
        high = middle;
        fHigh = f;
        if (side === 1) fLow *= 0.5;
        side = 1;
      } else {
        low = middle;
        fLow = f;
        if (side === -1) fHigh *= 0.5;
        side = -1;
      }
    }
    return high;
  }

  /** Carries out what is due. */
  private actNow(): void {
    let label = 'action';
    while (this.due < this.agenda.length && this.agenda[this.due]!.time <= this.control.time) {
      const { action, kind } = this.agenda[this.due++]!;
      const before = this.notes.length;
      this.watchAt(this.control.time, this.stepper.y);
      action(this.control);
      if (kind !== undefined) label = kind;
      else if (this.notes.length > before) label = this.notes[this.notes.length - 1]!.what;
    }
    this.settle(label);
    if (this.refusal === undefined) this.recorder.take(this.control.time, this.stepper.y, this.p);
  }

  /** After a change of mode: derived parameters, a consistent state, and whatever switches at once because of it. */
  private settle(kind: string): void {
    this.kind = kind;
    this.peaks.jumped();
    for (let round = 0; round < 50; round++) {
      this.request.model.kernel.prepare(this.p);
      this.reproject();
      if (this.refusal !== undefined) return;
      this.watchAt(this.control.time, this.stepper.y);
      let fired = false;
      for (const automaton of this.request.automata)
        if (automaton.distance(this.watched, this.p) >= 0) {
          this.statistics.events++;
          automaton.fire(this.control);
          fired = true;
        }
      if (!fired) return;
    }
    this.refuse('too many events at one moment', kind, 'fifty rounds');
  }

  private reproject(): void {
    this.statistics.projections++;
    const residual = this.stepper.project(this.control.time, 1e-3 * this.tolerance);
    if (!(residual <= 1e-2)) this.refuse('the circuit has no consistent state', this.worstUnknown(), `${residual} A left over`);
  }

  private watchAt(t: number, y: Float64Array): void {
    this.request.model.kernel.watch(t, y, this.p, this.watched);
  }

  private storedEnergy(): number {
    const out = new Float64Array(1);
    this.request.model.kernel.stored(this.control.time, this.stepper.y, this.p, out);
    return out[0]!;
  }

  private insert(entry: ScheduledAction): void {
    const { agenda } = this;
    let at = this.due;
    let end = agenda.length;
    while (at < end) {
      const middle = (at + end) >> 1;
      if (agenda[middle]!.time > entry.time) end = middle;
      else at = middle + 1;
    }
    // A row of inputs asks for its next one each time: the place of what is done is free for it.
    if (at === this.due && this.due > 0) agenda[--this.due] = entry;
    else agenda.splice(at, 0, entry);
  }

  private worstUnknown(): string {
    let worst = 0;
    let at = 0;
    for (let k = 0; k < this.stepper.n; k++) {
      const size = Math.abs(this.stepper.f0[k]!);
      if (!(size <= worst)) {
        worst = size;
        at = k;
      }
    }
    return this.request.model.system.unknowns[at]?.name ?? 'the circuit';
  }

  private refuse(cause: Refusal['cause'], where: string, detail: string): void {
    this.refusal ??= { cause, time: this.control.time, where, detail };
  }

  private close(storedBefore: number): Outcome<Run> {
    const { stepper, statistics } = this;
    statistics.evaluations = stepper.evaluations;
    if (this.refusal === undefined && !stepper.y.every(Number.isFinite)) this.refuse('a value left the finite numbers', this.worstUnknown(), '');
    this.watchAt(this.control.time, stepper.y);
    const balance = balanceOf(this.request.model.system, this.atStart, stepper.y, storedBefore, this.storedEnergy());
    if (this.refusal === undefined && !(balance.imbalance <= 10 * this.tolerance))
      this.refuse('the energy balance does not close', 'the whole circuit', `off by ${balance.imbalance} of the energy moved`);
    const result: Run = {
      end_s: this.control.time,
      unknowns: stepper.y.slice(),
      parameters: this.p.slice(),
      watched: this.watched.slice(),
      notes: this.notes,
      peaks: this.peaks.found(stepper.y, this.control.time),
      recording: this.recorder.finish(),
      balance,
    };
    Stepper.giveBack(stepper);
    if (this.refusal !== undefined) return { status: 'refused', refusal: this.refusal, partial: result, statistics };
    return { status: 'done', result, statistics };
  }
}

/** First step when nothing is known: contacts close in tenths of microseconds. */
const FIRST_STEP_S = 1e-7;
const NO_PEAKS: readonly PeakRequest[] = [];
/** Scaled logarithm of the error below which a step grows by all it may, sixfold. */
const FULL_GROWTH = Math.log(0.9 / 6);
