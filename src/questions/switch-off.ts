import type { Automaton, RunControl } from '../engine/automaton.ts';
import type { RecordRequest } from '../engine/recorder.ts';
import { simulate, type Run } from '../engine/simulate.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { Bank } from '../machine/circuit/loads.ts';
import { isSource } from '../machine/circuit/nets.ts';
import { openPosition, positionsBefore } from '../machine/circuit/positions.ts';
import { planSteps } from '../machine/circuit/power-up.ts';
import type { Machine, Step } from '../machine/machine.ts';
import { trusted, type PowerUpRun } from './runs.ts';
import { chargedPoints, closedWays } from './soft-starts.ts';

/** Banks that stay joined when every switch is open: whoever touches one touches all of them. */
export interface BankGroup {
  readonly name: string;
  /** Place where something can be joined to it. */
  readonly place: string | undefined;
  readonly banks: readonly Bank[];
  readonly points: ReadonlySet<string>;
  /** Watch: its voltage. */
  readonly watch: number;
  /** Number of the power-down step after which no pack feeds it any more; undefined for one that stays on a pack. */
  readonly cut: number | undefined;
}

/** What a group of banks does after it has been cut off from every pack. */
export interface Emptying {
  /** When that was, s of the run; when the last switch opened, for one that stays on a pack. */
  readonly cutOff_s: number;
  /** The step that cut it off; undefined for one that stays on a pack. */
  readonly cutOffBy: string | undefined;
  /** Time from then until it has fallen below each of the asked voltages, s; undefined when it never did. */
  readonly below_s: readonly (number | undefined)[];
  /** Voltage and energy when the crew's patience ends. */
  readonly later_V: number;
  readonly later_J: number;
  /** Voltage and energy when it is cut off. */
  readonly first_V: number;
  readonly first_J: number;
}

export interface SwitchOffRequest {
  readonly circuit: Circuit;
  readonly groups: readonly BankGroup[];
  /** The power-up that it begins from. */
  readonly from: PowerUpRun;
  readonly values: Float64Array;
  readonly levels_V: readonly number[];
  /** Values of a machine with a part that has failed. */
  readonly failed?: Float64Array;
  readonly record?: RecordRequest;
}

export interface SwitchedOff {
  readonly emptyings: readonly Emptying[];
  /** When the last switch opened, s of the run. */
  readonly opened_s: number;
  readonly run: Run;
}

/**
 * Below this a bank neither snaps when something is plugged to it nor makes a slipped spanner hot. Common practice, no
 * source: the laws' limits (60 V) are about touch, and far above.
 */
export const SAFE_V = 5;
/** A group of banks that stores less than this neither snaps nor twitches a motor. Common practice, no source. */
export const HARMLESS_J = 0.02;
/** The longest that a crew waits before it reaches in, s. Common practice, no source. */
export const PATIENCE_S = 60;

/** How long a bank is followed, s: what stands on it then stands on it for the rest of the day. */
export const FOLLOWED_S = 600;

/** Banks by what still joins them with every switch open. */
export function bankGroups(circuit: Circuit): BankGroup[] {
  const groups: Omit<BankGroup, 'cut'>[] = [];
  for (const bank of circuit.loads.banks) {
    const point = `${bank.part}+`;
    const watch = circuit.pointWatch.get(point);
    if (watch === undefined || groups.some((group) => group.banks.includes(bank))) continue;
    const points = chargedPoints(circuit, point, new Set(), new Set());
    const banks = circuit.loads.banks.filter((other) => points.has(`${other.part}+`));
    const places = [...points].filter((at) => !at.endsWith('+') && !at.endsWith('-'));
    const [place] = places;
    groups.push({ name: [...new Set(banks.map((b) => b.part))].join(', '), place, banks, points, watch });
  }
  const cuts = cutOffs(circuit, groups);
  return groups.map((group, k) => ({ ...group, cut: cuts[k] }));
}

/** The power down as written; without one, every switch that stands closed is opened in the order of the file. */
export function powerDownSteps(machine: Machine): readonly Step[] {
  if (machine.powerDown.some((step) => 'part' in step)) return machine.powerDown;
  const standing = positionsBefore(machine, machine.powerUp, machine.powerUp.length);
  return [...standing].flatMap(([part, position]): Step[] => (position === openPosition(machine, part) ? [] : [{ act: 'open', part, text: `open ${part}`, line: 0 }]));
}

/** Switches a machine off as its power down says, and follows its banks. */
export function switchOff(request: SwitchOffRequest): SwitchedOff {
  const { circuit, groups, from, values, levels_V } = request;
  const { machine } = circuit;
  const standing = positionsBefore(machine, machine.powerUp, machine.powerUp.length);
  const timeline = planSteps(circuit, powerDownSteps(machine), 'power down', values, FOLLOWED_S, standing);
  // A contact's law looks back to its touch: the clock runs on from the power-up.
  const start_s = from.run.end_s;
  const script = timeline.script.map(({ time, action }) => ({ time: start_s + time, action }));
  const opened_s = Math.max(start_s, ...script.map(({ time }) => time));
  const cuts = groups.map(({ cut: at }) => {
    const step = at === undefined ? undefined : timeline.steps[at];
    return step === undefined ? { time_s: opened_s, by: undefined } : { time_s: start_s + step.time_s, by: step.step.text };
  });
  const parameters = Float64Array.from(from.run.parameters);
  if (request.failed !== undefined) fail(circuit, parameters, values, request.failed);

  const crossed = groups.map(() => levels_V.map((): number | undefined => undefined));
  const first: ({ V: number; J: number } | undefined)[] = groups.map(() => undefined);
  const later: ({ V: number; J: number } | undefined)[] = groups.map(() => undefined);
  const stateOf = (group: BankGroup, unknowns: Float64Array): { V: number; J: number } => ({
    V: Math.max(...group.banks.map((bank) => unknowns[bank.capacitor.voltage]!)),
    J: group.banks.reduce((sum, bank) => sum + 0.5 * bank.capacitance(values) * unknowns[bank.capacitor.voltage]! ** 2, 0),
  });
  const finished = (): boolean => later.every((state) => state !== undefined) && crossed.flat().every((time) => time !== undefined);
  const below = groups.flatMap((group, g) =>
    levels_V.map((level_V, k): Automaton => ({
      name: `${group.name} below ${level_V} V`,
      distance: (w) => (crossed[g]![k] === undefined ? level_V - w[group.watch]! : -1),
      fire(run) {
        crossed[g]![k] = run.time;
        if (finished()) run.stop();
      },
    })),
  );
  const run = trusted(
    simulate({
      model: circuit.model,
      parameters,
      initial: from.run.unknowns,
      start_s,
      end_s: opened_s + FOLLOWED_S,
      automata: [...circuit.automata, ...below],
      script: [
        ...script,
        ...groups.flatMap((group, g) => [
          { time: cuts[g]!.time_s, action: (r: RunControl) => (first[g] = stateOf(group, r.unknowns)) },
          {
            time: cuts[g]!.time_s + PATIENCE_S,
            action: (r: RunControl) => {
              later[g] = stateOf(group, r.unknowns);
              if (finished()) r.stop();
            },
          },
        ]),
      ],
      // Tighter than this the balance of a bank of a few millijoules asks for more than the integration of energies is held to.
      tolerance: 1e-4,
      ...(request.record === undefined ? {} : { record: request.record }),
    }),
  );
  return {
    emptyings: groups.map((_, g) => ({
      cutOff_s: cuts[g]!.time_s,
      cutOffBy: cuts[g]!.by,
      below_s: crossed[g]!.map((time) => (time === undefined ? undefined : Math.max(0, time - cuts[g]!.time_s))),
      first_V: first[g]!.V,
      first_J: first[g]!.J,
      later_V: later[g]!.V,
      later_J: later[g]!.J,
    })),
    opened_s,
    run,
  };
}

/** For each group the number of the power-down step after which no pack feeds it any more, in the positive or in the negative. */
function cutOffs(circuit: Circuit, groups: readonly Pick<BankGroup, 'banks'>[]): (number | undefined)[] {
  const { machine } = circuit;
  const steps = powerDownSteps(machine);
  const sources = [...machine.parts.values()].filter((part) => isSource(part.kind)).map(({ id }) => id);
  const all = [...machine.powerUp, ...steps];
  const reachedAfter = (count: number): Record<'+' | '-', ReadonlySet<string>> => {
    const closed = closedWays(circuit, positionsBefore(machine, all, machine.powerUp.length + count));
    const from = (side: '+' | '-'): ReadonlySet<string> => new Set(sources.flatMap((id) => [...chargedPoints(circuit, `${id}${side}`, new Set(), closed, true)]));
    return { '+': from('+'), '-': from('-') };
  };
  const states = Array.from({ length: steps.length + 1 }, (_, count) => reachedAfter(count));
  return groups.map(({ banks }) => {
    // Returns that meet on a bar are on no lead: a side that never reached a pack by leads cannot be cut on it.
    const sides = (['+', '-'] as const).filter((side) => banks.some(({ part }) => states[0]![side].has(`${part}${side}`)));
    const fed = states.map((state) => sides.length > 0 && sides.every((side) => banks.some(({ part }) => state[side].has(`${part}${side}`))));
    const last = fed.lastIndexOf(true);
    return last < 0 || last === steps.length ? undefined : last;
  });
}

/** Sets what a failed part changes, and leaves what the run has made of the rest. */
function fail(circuit: Circuit, parameters: Float64Array, values: Float64Array, failed: Float64Array): void {
  const whole = circuit.parametersFor(values);
  circuit.parametersFor(failed).forEach((value, k) => {
    if (value !== whole[k]) parameters[k] = value;
  });
}
