import type { Duty } from '../../../src/machine/duty/duty.ts';
import { formatIssue } from '../../../src/machine/file/issue.ts';
import { readMachine } from '../../../src/machine/file/read.ts';
import { buildMatch, canFight, type MatchModel } from '../../../src/machine/match/model.ts';
import type { MatchRecord } from '../../../src/machine/match/record.ts';
import { runMatch, type MatchRequest } from '../../../src/machine/match/run.ts';
import { fileText } from '../file/demos.ts';

export const DEMO_FILES = ['bar3s', 'lift6s', 'trk14s', 'kart16s', 'board10s', 'crush10s'] as const;

export function demoMatch(name: (typeof DEMO_FILES)[number], edit: (text: string) => string = (text) => text): MatchModel {
  return matchOf(edit(fileText(`machines/${name}.yaml`)));
}

export function matchOf(text: string): MatchModel {
  const file = readMachine(text);
  if (!file.ok) throw new Error(file.issues.map((issue) => formatIssue(issue, 'machine')).join('\n'));
  const match = buildMatch(file.machine);
  if (!canFight(match)) throw new Error(match.needs.join(', '));
  return match;
}

/** A duty from its lines as the file writes them. */
export function dutyOf(...lines: readonly string[]): Duty {
  const file = readMachine(`${plain({})}duty:\n${lines.map((line) => `  - ${line}\n`).join('')}`);
  if (!file.ok) throw new Error(file.issues.map((issue) => formatIssue(issue, 'duty')).join('\n'));
  return file.machine.duty;
}

export function fought(match: MatchModel, request: Partial<MatchRequest> = {}): MatchRecord {
  const outcome = runMatch(match, { seed: 1, ...request });
  if (outcome.status === 'refused') throw new Error(JSON.stringify(outcome.refusal));
  return outcome.record;
}

export function heatOf(record: MatchRecord, where: string): MatchRecord['heats'][number] {
  const found = record.heats.find((heat) => heat.where === where);
  if (found === undefined) throw new Error(`no heat of ${where}`);
  return found;
}

interface Plain {
  readonly pack?: string;
  readonly lead?: string;
  readonly controller?: string;
  readonly motor?: string;
  readonly connector?: string;
  readonly extra?: string;
}

/**
 * A pack, a connector, a controller and a motor, without any loss or delay that hand algebra would have to count: what a
 * test is about is given in its place.
 */
export function plain({ pack = '', lead = '50 mm² 0.01 m', controller = '', motor = '', connector = '', extra = '' }: Plain): string {
  return `ampwright: 1
machine: PLAIN
mass: 20 kg
surroundings: { ambient: 25 °C, inside: 25 °C }
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 100 Ah, cell resistance: 1e-3 mΩ, temperature: 25 °C, weakest capacity: 100 %, weakest resistance: 1${pack} }
  X1: { kind: connector, closed resistance: 1e-3 mΩ${connector} }
  T1: { kind: controller, motor current: 200 A, capacitance: 1 mF, standby: 0 A, efficiency: 100 %, heat capacity: 1e6 J/K, drives: M1${controller} }
  M1: { kind: motor, resistance: 50 mΩ, torque constant: 0.02 Nm/A, inductance: 10 µH, friction torque: 0 N·m, rotor inertia: 1e-6 kg·m², winding heat capacity: 1e6 J/K${motor} }
wiring:
  only: from G1+, ${lead}, X1, to T1
returns: all negatives on one bar, 1e-3 mΩ a joint
${extra}`;
}

/** Every number anywhere in a record. */
export function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : [];
}
