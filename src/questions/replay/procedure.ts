import { simulate, type Run } from '../../engine/simulate.ts';
import { buildCircuit, type Circuit } from '../../machine/circuit/circuit.ts';
import { loadsBehind } from '../../machine/circuit/nets.ts';
import { closedPosition, positionsBefore } from '../../machine/circuit/positions.ts';
import { planSteps, type Timeline } from '../../machine/circuit/power-up.ts';
import type { Chain, Machine, Step } from '../../machine/machine.ts';
import { Refused, trusted } from '../runs.ts';
import { Columns } from './columns.ts';
import { contactTracks, switchTracks, type ContactTrack } from './contacts.ts';
import { addOutputs } from './outputs.ts';
import type { LoadTrack, NoReplay, Owner, Replay, ReplayMark, SwitchTrack } from './replay.ts';

/** What is shown before the first step and after the last contact of the power-up, s. */
const BEFORE_S = 1e-3;
const AFTER_UP_S = 1;
const BEFORE_DOWN_S = 0.5;
/** The longest that a crew waits before it reaches in, s. Common practice, no source. */
const AFTER_DOWN_S = 60;
const TOLERANCE = 1e-4;
const MOST_STEPS = 100_000;
/** Points from within each step of the solver: its steps grow to a good part of a time constant. */
const BETWEEN = 4;

export interface ProcedureReplays {
  readonly 'power-up': Replay | NoReplay;
  readonly 'power-down': Replay | NoReplay;
}

/** The crew's procedure as the file has it, with every value as it stands: power-up, and power-down of the same run. */
export function replayProcedure(machine: Machine): ProcedureReplays {
  if (machine.powerUp.length === 0) return both('the file has no procedure');
  const circuit = buildCircuit(machine, true);
  const values = circuit.inputs.nominal();
  const up = planSteps(circuit, machine.powerUp, 'power up', values, AFTER_UP_S);
  try {
    const down = machine.powerDown.length === 0 ? undefined : planSteps(circuit, machine.powerDown, 'power down', values, AFTER_DOWN_S, positionsBefore(machine, machine.powerUp, machine.powerUp.length), up.end_s + BEFORE_DOWN_S);
    return new Replayer(circuit, values, up, down).replays();
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    // What cannot be trusted may lie in the power-down alone.
    try {
      return new Replayer(circuit, values, planSteps(circuit, machine.powerUp, 'power up', values, AFTER_UP_S), undefined, error.message).replays();
    } catch (again) {
      if (again instanceof Refused) return both(`its numbers cannot be trusted: ${again.message}`);
      throw again;
    }
  }
}

function both(why: string): ProcedureReplays {
  return { 'power-up': { why }, 'power-down': { why } };
}

/** Runs both timelines in one go and makes what is looked at. */
class Replayer {
  private readonly run: Run;
  private readonly columns: Columns;
  private readonly contacts: readonly ContactTrack[];
  /** Energy that the packs gave until the power-up is over, J. */
  private deliveredUp_J = NaN;

  constructor(
    private readonly circuit: Circuit,
    private readonly values: Float64Array,
    private readonly up: Timeline,
    private readonly down: Timeline | undefined,
    private readonly refused?: string,
  ) {
    const source = circuit.model.system.balance.source;
    this.run = trusted(simulate({
      model: circuit.model,
      parameters: circuit.parametersFor(values),
      initial: new Float64Array(circuit.model.plan.unknowns),
      start_s: -BEFORE_S,
      end_s: (down ?? up).end_s,
      automata: circuit.automata,
      script: [...up.script, ...(down?.script ?? []), { time: up.end_s, action: (run) => (this.deliveredUp_J = run.unknowns[source]!) }],
      tolerance: TOLERANCE,
      maximumSteps: MOST_STEPS,
      record: { watches: circuit.model.system.watches.map((_, k) => k), between: BETWEEN },
    }));
    this.columns = new Columns(this.run.recording.time_s);
    this.contacts = contactTracks(circuit, this.run.notes);
    this.addColumns();
  }

  replays(): ProcedureReplays {
    const { up, down } = this;
    const shown = this.piece('power-up', up, -BEFORE_S, up.end_s, 0);
    const refused = this.refused === undefined ? 'the file has no power-down' : `its numbers cannot be trusted: ${this.refused}`;
    const zero_s = up.end_s + BEFORE_DOWN_S;
    return { 'power-up': shown, 'power-down': down === undefined ? { why: refused } : this.piece('power-down', down, up.end_s, down.end_s, zero_s) };
  }

  private piece(run: 'power-up' | 'power-down', timeline: Timeline, from_s: number, until_s: number, zero_s: number): Replay {
    const moved = <T extends { readonly from_s: number }>(list: readonly T[]): T[] => list.filter((one) => one.from_s <= until_s).map((one) => ({ ...one, from_s: one.from_s - zero_s }));
    const acts = timeline.steps.filter(({ step }) => step.act !== 'crew');
    const steps = acts.map(({ time_s, step }, k): ReplayMark => ({
      from_s: time_s - zero_s, until_s: (acts[k + 1]?.time_s ?? Infinity) - zero_s, words: stepWords(step, acts[k - 1]?.step), sort: 'step',
    }));
    const crew = timeline.steps.flatMap(({ time_s, step }): ReplayMark[] => (step.act === 'crew' ? [{ from_s: time_s - zero_s, until_s: time_s - zero_s, words: `crew: ${step.text}`, sort: 'event' }] : []));
    const events = this.run.notes.filter(({ time }) => time >= from_s && time <= until_s).map(({ time, what }): ReplayMark => ({ from_s: time - zero_s, until_s: time - zero_s, words: what, sort: 'event' }));
    return {
      run,
      ...this.columns.between(from_s, until_s, zero_s),
      marks: [...steps, ...crew, ...events].sort((a, b) => a.from_s - b.from_s),
      switches: switchTracks(this.circuit, this.contacts).map((track): SwitchTrack => ({ ...track, at: moved(track.at) })),
      loads: this.loads().map((load): LoadTrack => (load.runs === undefined ? load : { ...load, runs: moved(load.runs) })),
      delivered_J: run === 'power-up' ? this.deliveredUp_J : this.run.balance.delivered_J - this.deliveredUp_J,
    };
  }

  private curve(watch: number): readonly number[] {
    return this.run.recording.curves[watch]!;
  }

  private addColumns(): void {
    const { circuit, columns } = this;
    const { machine, pointWatch, followed, loads } = circuit;
    const volts = new Map<string, ArrayLike<number>>();
    for (const [point, watch] of pointWatch) {
      const part = point.endsWith('+') ? point.slice(0, -1) : undefined;
      volts.set(point, this.curve(watch));
      columns.add(`${part ?? point} voltage`, 'voltage', [{ point }, ...(part === undefined ? [] : [{ part }])], this.curve(watch));
    }
    addOutputs(machine, volts, this.run.recording.time_s, this.loads(), columns);
    for (const { part, currentWatch } of loads.packs) if (currentWatch !== undefined) columns.add(`${part} current`, 'current', [{ part }], this.curve(currentWatch));
    for (const [part, watch] of followed.loads) columns.add(`${part} current`, 'current', [{ part }], this.curve(watch));
    for (const [chain, watch] of followed.chains) columns.add(`${leadName(chain)} current`, 'current', ownersAlong(chain), this.curve(watch));
    this.addResistors();
    this.addSwitches();
  }

  /** Resistors that a switch leads through have a way of their own, and every one has its heat. */
  private addResistors(): void {
    const { circuit, columns, values } = this;
    for (const [part, branches] of circuit.resistors) {
      const ohm = values[circuit.inputs.at(`${part}.resistance`)]!;
      const through = branches.map((branch) => this.curve(branch.currentWatch));
      const current = this.run.recording.time_s.map((_, k) => through.reduce((sum, curve) => sum + curve[k]!, 0));
      columns.add(`${part} voltage across`, 'voltage', [{ part }], current.map((ampere) => ampere * ohm));
      columns.add(`${part} current`, 'current', [{ part }], current);
      columns.add(`${part} heat`, 'power', [{ part }], current.map((ampere) => ampere * ampere * ohm));
    }
  }

  /** What stands across the direct way of a switch: what is missing while it is open, what its contact drops once it is closed. */
  private addSwitches(): void {
    const { circuit, columns } = this;
    for (const [part, ways] of circuit.ways) {
      const way = ways.find(({ position }) => position === closedPosition(circuit.machine, part));
      if (way === undefined) continue;
      const contact = this.contacts.find((one) => one.part === part && one.position === way.position);
      const closes = contact?.conductsAt(this.run.recording.time_s);
      const key = `${part}.closedResistance`;
      const ohm = circuit.inputs.has(key) ? this.values[circuit.inputs.at(key)]! : 0;
      const [driven, current] = [this.curve(way.branch.drivenWatch), this.curve(way.branch.currentWatch)];
      columns.add(`${part} voltage across`, 'voltage', [{ part }], driven.map((volt, k) => (closes?.[k] === 1 ? current[k]! * ohm : volt)));
    }
  }

  private loads(): LoadTrack[] {
    const { machine, loads } = this.circuit;
    const known = new Map<string, LoadTrack>();
    for (const { part, point, threshold } of loads.standby) known.set(part, { part, point, wakes_V: threshold(this.values), runs: undefined, behind: loadsBehind(machine, part) });
    for (const { part } of loads.starting) {
      const runs = this.run.notes.flatMap(({ time, what }) => (what === `${part} starts` || what === `${part} stops` ? [{ from_s: time, on: what.endsWith('starts') }] : []));
      known.set(part, { part, point: `${part}+`, wakes_V: undefined, runs, behind: loadsBehind(machine, part) });
    }
    return [...known.values()];
  }
}

/** `Q1 to CHARGE`; who waits still does what was done before. */
function stepWords(step: Step, before: Step | undefined): string {
  const words = step.text.replace(/^turn /, '');
  return step.act === 'wait' && before !== undefined && before.act !== 'wait' ? `${stepWords(before, undefined)}, ${words}` : words;
}

function leadName({ name, role }: Chain): string {
  return role === 'supply' ? name : `${name} ${role}`;
}

/** A lead with everything in its row: conductors, and parts that carry its whole current. */
function ownersAlong(chain: Chain): Owner[] {
  const { name, role } = chain;
  return [{ chain: name, role }, ...chain.items.map((item, k): Owner => ('part' in item ? { part: item.part } : { chain: name, role, item: k }))];
}
