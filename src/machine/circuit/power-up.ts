import type { RunControl } from '../../engine/automaton.ts';
import { closeContact, openContact } from '../../engine/devices/branch.ts';
import { energise, letGo } from '../../engine/devices/coil.ts';
import { beginRamp } from '../../engine/devices/ramp.ts';
import type { PeakRequest } from '../../engine/peaks.ts';
import type { ScheduledAction } from '../../engine/simulate.ts';
import { stepKey } from '../inputs.ts';
import type { Step } from '../machine.ts';
import type { Isolator } from '../parts/switching.ts';
import { SOFT, type Way } from './chains.ts';
import type { Circuit } from './circuit.ts';
import { bouncesOf, type Coil } from './coils.ts';
import { allClosed, closedPosition, followers, openPosition, reached } from './positions.ts';

/** A contact that closes during a procedure, and what was seen around it. */
export interface Closing {
  readonly part: string;
  readonly position: string;
  readonly way: Way;
  readonly time_s: number;
  /** End of the time that is looked at after it. */
  until_s: number;
  readonly step: number;
  /** State just before it touches; filled in by the run. */
  before: Snapshot | undefined;
  after: Snapshot | undefined;
  /** When this way is opened again, s; undefined when it stays closed. */
  parted_s: number | undefined;
  /** Set by the run when a contactor stayed open, with the reason. */
  refused: false | Refusal;
}

/** Why a contactor does not close: too little stands behind it, too little feeds its coil, its mirror contact tells that it is welded. */
export type Refusal = 'threshold' | 'coil' | 'welded';

const REFUSALS: Readonly<Record<Refusal, string>> = { threshold: 'too little stands behind it', coil: 'too little feeds its coil', welded: 'its mirror contact tells that it is welded' };

export interface Snapshot {
  readonly time_s: number;
  readonly unknowns: Float64Array;
  readonly watched: Float64Array;
}

/** What a run can be taken up from again. */
export interface Beginning {
  readonly time_s: number;
  readonly unknowns: Float64Array;
  readonly parameters: Float64Array;
}

/** A step as it begins. */
export interface BegunStep {
  readonly time_s: number;
  readonly step: Step;
  /** State before anything of it is done; filled in by the run for steps that move a switch. */
  state: Beginning | undefined;
}

/** A procedure as timed actions on a circuit. Made anew for every run: the run fills in the snapshots. */
export interface Timeline {
  readonly script: readonly ScheduledAction[];
  readonly closings: readonly Closing[];
  /** When each step begins. */
  readonly steps: readonly BegunStep[];
  readonly end_s: number;
}

/** Time after a contact's first touch in which its closing is judged; bounces and inrush are over by then. */
const LOOK_S = 0.02;
/** A relay's own time between the main contact's closing and the opening of its soft start, s. Common practice, no source. */
const RELAY_S = 0.05;
/** Length of a soft start that has neither timer nor stage time, s: a plug pushed home. */
const UNTIMED_S = 0.5;

/**
 * Lays a procedure out in time. A step of the machine's own procedure takes its time from the values, any other step from itself.
 * @param list  which of the machine's two procedures `steps` is or is a variant of
 * @param tail_s  how long to go on after the last step
 * @param standing  where the switches stand before the first step; all open when left out
 * @param start_s  when the first step begins
 */
export function planSteps(
  circuit: Circuit, steps: readonly Step[], list: 'power up' | 'power down', values: Float64Array, tail_s: number, standing?: ReadonlyMap<string, string>,
  start_s = 0,
): Timeline {
  return new Planner(circuit, list, values, standing, start_s).plan(steps, tail_s);
}

/** Peaks to follow for each closing: current forth and back, and the touching spot's voltage. */
export function closingPeaks(closings: readonly Closing[]): PeakRequest[] {
  return closings.flatMap(({ way, time_s, until_s }): PeakRequest[] => {
    const span = { from_s: time_s, until_s };
    const contact = way.branch.contacts[way.contact]!;
    return [
      { of: { unknown: way.branch.current }, sign: 1, ...span },
      { of: { unknown: way.branch.current }, sign: -1, ...span },
      { of: { watch: contact.spotWatch }, sign: 1, ...span },
      { of: { watch: contact.spotWatch }, sign: -1, ...span },
    ];
  });
}

class Planner {
  private readonly script: ScheduledAction[] = [];
  private readonly closings: Closing[] = [];
  private readonly position: Map<string, string>;
  private readonly begun: BegunStep[] = [];
  private readonly looksAtCoils: { readonly closing: Closing; readonly look: (run: RunControl) => void }[] = [];

  constructor(
    private readonly circuit: Circuit,
    private readonly list: 'power up' | 'power down',
    private readonly values: Float64Array,
    standing: ReadonlyMap<string, string> = new Map(),
    private t: number,
  ) {
    this.position = new Map(standing);
  }

  plan(steps: readonly Step[], tail_s: number): Timeline {
    steps.forEach((step, k) => {
      this.begin(step);
      const next = steps[k + 1];
      const paced = next !== undefined && next.act !== 'wait' && step.act !== 'wait' && step.act !== 'crew';
      this.step(step, k);
      if (paced) this.t += this.value('crew.pause');
    });
    const end_s = Math.max(this.t, ...this.closings.map((c) => c.time_s)) + tail_s;
    this.endLooks(end_s);
    return { script: [...this.script].sort((a, b) => a.time - b.time), closings: this.closings, steps: this.begun, end_s };
  }

  private begin(step: Step): void {
    const begun: BegunStep = { time_s: this.t, step, state: undefined };
    this.begun.push(begun);
    if (!('part' in step)) return;
    this.at(this.t, (run) => (begun.state = { time_s: run.time, unknowns: Float64Array.from(run.unknowns), parameters: Float64Array.from(run.parameters) }));
  }

  private step(step: Step, k: number): void {
    switch (step.act) {
      case 'crew':
        return;
      case 'wait':
        this.t += this.lasting_s(step);
        return;
      case 'hold':
        this.move(step.part, 'closed', k);
        this.t += this.lasting_s(step);
        this.move(step.part, 'open', k);
        return;
      case 'turn':
        this.move(step.part, step.position, k);
        return;
      case 'press':
      case 'insert':
      case 'connect':
        this.move(step.part, 'closed', k);
        return;
      case 'release':
      case 'remove':
      case 'disconnect':
        this.move(step.part, 'open', k);
        return;
      case 'close':
        this.move(step.part, closedPosition(this.circuit.machine, step.part), k);
        return;
      case 'open':
        this.move(step.part, openPosition(this.circuit.machine, step.part), k);
        return;
    }
  }

  /** Brings a switch to a position: what was closed parts, what belongs to the position touches, in the switch's order. */
  private move(part: string, wanted: string, step: number): void {
    const { machine } = this.circuit;
    const before = this.position.get(part);
    const position = reached(machine, part, wanted, this.position);
    if (position !== wanted) this.at(this.t, (run) => { run.note(`${part} stays open: the switch of its coil is open`, 0); });
    if (before === position) return;
    this.position.set(part, position);
    this.moveWays(part, position, before, step);
    for (const one of followers(machine, part, position)) this.move(one.part, one.position, step);
  }

  private moveWays(part: string, position: string, before: string | undefined, step: number): void {
    const ways = this.circuit.ways.get(part) ?? [];
    const soft = position === closedPosition(this.circuit.machine, part) ? ways.filter((way) => way.position === SOFT) : [];
    if (soft.length > 0) {
      this.moveThroughSoft(part, position, soft, ways, step);
      return;
    }
    const leaving = ways.filter((way) => way.position === before);
    const entering = ways.filter((way) => way.position === position);
    let parts_s = this.t;
    let touches_s = this.t;
    if (leaving.length > 0 && entering.length > 0) {
      const gap = this.value(`${part}.gap`);
      if (this.isolator(part)?.values.changeover === 'overlap') parts_s += gap;
      else touches_s += gap;
    }
    const coil = this.coilOf(part);
    this.notePartings(leaving, coil === undefined ? parts_s : parts_s + this.value(`${part}.releaseTime`));
    if (coil === undefined) for (const way of leaving) this.at(parts_s, (run) => { openContact(run, way.branch, way.branch.contacts[way.contact]!); });
    else if (leaving.length > 0) this.at(parts_s, (run) => { letGo(run, coil.handle); });
    for (const way of entering) touches_s = Math.max(touches_s, this.close(way, part, position, touches_s, step));
    this.enable(part, position, Math.max(parts_s, touches_s));
    this.t = Math.max(parts_s, touches_s);
  }

  /**
   * A contactor with its own soft start, or a connector with a resistor built in: the resistor first, the main contact
   * after its time, and for a contactor only when enough voltage stands behind it.
   */
  private moveThroughSoft(part: string, position: string, soft: readonly Way[], ways: readonly Way[], step: number): void {
    const found = this.circuit.machine.parts.get(part);
    const threshold = found?.kind === 'contactor' ? found.values.threshold?.value : undefined;
    const time = `${part}.${found?.kind === 'contactor' ? 'timer' : 'stage'}`;
    const lasts_s = this.circuit.inputs.has(time) ? this.value(time) : UNTIMED_S;
    const mains = ways.filter((one) => one.position === position);
    const conducts = (run: RunControl, way: Way): boolean => run.parameters[way.branch.contacts[way.contact]!.conducting] === 1;
    const welded = (run: RunControl): Refusal | undefined => (found?.kind === 'contactor' && found.values.mirrorContact === true && mains.some((way) => conducts(run, way)) ? 'welded' : undefined);
    for (const way of soft) this.close(way, part, SOFT, this.t, step, welded);
    const main_s = this.t + lasts_s;
    let touches_s = main_s;
    for (const way of mains) {
      const short = (run: RunControl): Refusal | undefined => (threshold !== undefined && missingShare(run, way, this.values, this.circuit) > 1 - threshold ? 'threshold' : undefined);
      touches_s = Math.max(touches_s, this.close(way, part, position, main_s, step, (run) => welded(run) ?? short(run)));
    }
    this.notePartings(soft, touches_s + RELAY_S);
    for (const way of soft) this.at(touches_s + RELAY_S, (run) => { openContact(run, way.branch, way.branch.contacts[way.contact]!); });
    this.enable(part, position, touches_s);
    this.t = touches_s + RELAY_S;
  }

  /**
   * Closes a way, or lets a contactor's coil close it.
   * @param refuses  why a contactor's own logic keeps it open now
   * @returns when it touches
   */
  private close(way: Way, part: string, position: string, time_s: number, step: number, refuses?: (run: RunControl) => Refusal | undefined): number {
    // A ramp charges for as long as it rises.
    const look_s = LOOK_S + (way.ramp === undefined ? 0 : this.value(`${part}.ramp`));
    const coil = position === SOFT ? undefined : this.coilOf(part);
    const touch_s = coil === undefined ? time_s : time_s + this.value(`${part}.closingTime`);
    const closing: Closing = { part, position, way, time_s: touch_s, until_s: touch_s + look_s, step, before: undefined, after: undefined, parted_s: undefined, refused: false };
    this.closings.push(closing);
    const refuse = (run: RunControl, why: Refusal): void => {
      closing.refused = why;
      run.note(`${part} stays open: ${REFUSALS[why]}`, run.watched[coil !== undefined && why === 'coil' ? coil.handle.voltage : way.branch.drivenWatch]!);
    };
    if (coil !== undefined) {
      this.letCoilClose(closing, coil, time_s, refuse, refuses);
      return touch_s;
    }
    const bounces = this.circuit.inputs.has(`${part}.bounce`) ? bouncesOf(this.value(`${part}.bounce`)) : [];
    this.at(time_s, (run) => {
      closing.before = snapshot(run);
      const why = refuses?.(run);
      if (why !== undefined) {
        refuse(run, why);
        return;
      }
      if (way.ramp !== undefined) beginRamp(run, way.ramp);
      closeContact(run, way.branch, way.branch.contacts[way.contact]!, bounces);
    });
    return touch_s;
  }

  /** The coil draws the armature, which touches after its closing time if the coil's voltage holds so long. */
  private letCoilClose(closing: Closing, coil: Coil, time_s: number, refuse: (run: RunControl, why: Refusal) => void, refuses?: (run: RunControl) => Refusal | undefined): void {
    const { way, time_s: touch_s } = closing;
    const contact = way.branch.contacts[way.contact]!;
    this.at(time_s, (run) => {
      const why = refuses?.(run);
      if (why === undefined) energise(run, coil.handle);
      else refuse(run, why);
    });
    this.at(touch_s, (run) => (closing.before = snapshot(run)));
    // The end of the look is known once every closing is.
    this.looksAtCoils.push({ closing, look: (run) => { if (closing.refused === false && !(run.parameters[contact.touchedAt]! >= touch_s)) refuse(run, 'coil'); } });
  }

  private notePartings(leaving: readonly Way[], time_s: number): void {
    for (const closing of this.closings) if (closing.parted_s === undefined && leaving.includes(closing.way)) closing.parted_s = time_s;
  }

  /** A closing is looked at until the next one, or until the end. */
  private endLooks(end_s: number): void {
    this.closings.forEach((closing, k) => {
      const next = this.closings[k + 1]?.time_s ?? Infinity;
      closing.until_s = Math.min(closing.until_s, next > closing.time_s ? next : Infinity, end_s);
      this.at(closing.until_s, (run) => {
        closing.after = snapshot(run);
        this.looksAtCoils.find((one) => one.closing === closing)?.look(run);
      });
    });
  }

  /** Loads that wait for this switch to be closed directly: they start when it really conducts. */
  private enable(part: string, position: string, time_s: number): void {
    const { machine, loads, ways } = this.circuit;
    const closes = position === closedPosition(machine, part);
    const own = (ways.get(part) ?? []).filter((way) => way.position === position);
    const conducts = (run: RunControl): boolean => own.length === 0 || own.some((way) => run.parameters[way.branch.contacts[way.contact]!.conducting] === 1);
    // All bounces together last less than four times the first one.
    const bounce_s = this.circuit.inputs.has(`${part}.bounce`) ? this.value(`${part}.bounce`) : 0;
    const when_s = time_s + (closes ? Math.max(LOOK_S, 4 * bounce_s) : 0);
    for (const load of loads.starting)
      if (load.waitsFor === part) this.at(when_s, (run) => (run.parameters[load.handle.enabled] = closes && conducts(run) ? 1 : 0));
    for (const load of loads.standby) {
      if (!load.waitsFor.includes(part)) continue;
      const on = allClosed(machine, load.waitsFor, this.position);
      this.at(when_s, (run) => (run.parameters[load.draws] = on && (!closes || conducts(run)) ? load.current(this.values) : 0));
    }
  }

  private coilOf(part: string): Coil | undefined {
    return this.circuit.coils.find((coil) => coil.part === part);
  }

  private isolator(part: string): Isolator | undefined {
    const found = this.circuit.machine.parts.get(part);
    return found?.kind === 'isolator' ? found : undefined;
  }

  private at(time: number, action: (run: RunControl) => void): void {
    this.script.push({ time, action });
  }

  private lasting_s(step: Extract<Step, { act: 'wait' | 'hold' }>): number {
    const { machine } = this.circuit;
    const own = (this.list === 'power up' ? machine.powerUp : machine.powerDown).indexOf(step);
    return own < 0 ? step.time.value : this.value(stepKey(this.list, own));
  }

  private value(key: string): number {
    return this.values[this.circuit.inputs.at(key)]!;
  }
}

/** Share of the supply that is missing across a way before it closes. */
function missingShare(run: RunControl, way: Way, values: Float64Array, circuit: Circuit): number {
  return Math.abs(run.watched[way.branch.drivenWatch]!) / circuit.supply(values);
}

function snapshot(run: RunControl): Snapshot {
  return { time_s: run.time, unknowns: Float64Array.from(run.unknowns), watched: Float64Array.from(run.watched) };
}
