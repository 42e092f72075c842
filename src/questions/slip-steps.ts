import type { Closing } from '../machine/circuit/power-up.ts';
import { closedPosition, openPosition } from '../machine/circuit/positions.ts';
import { PAUSE } from '../machine/inputs.ts';
import type { Step } from '../machine/machine.ts';
import { scaled } from '../quantity/quantity.ts';
import { closingName } from './closing-words.ts';
import { contactVerdict } from './judged-steps.ts';
import type { PlacedSoftStart, Study } from './study.ts';
import { called } from './words.ts';

/** A way in which a tired crew does the procedure wrong. */
export interface Slip {
  /** `drive isolator Q1 to ON after half the count` */
  readonly words: string;
  /** The steps that are done, up to where the slip has shown. */
  readonly steps: readonly Step[];
  /** Switches that are closed before the first step. */
  readonly stuck: ReadonlyMap<string, string>;
  /** Pauses as short as a crew in a hurry makes them. */
  readonly hurried: boolean;
}

/** A soft start as the procedure uses it: the steps at which it begins and at which its main contact closes. */
export interface UsedSoftStart {
  readonly softStart: PlacedSoftStart;
  readonly entry: Closing;
  readonly main: Closing;
}

type Operation = Extract<Step, { readonly part: string }>;

/** The likely slips of a machine's procedure. */
export function likelySlips(base: Study): Slip[] {
  const used = usedSoftStarts(base);
  return [...used.flatMap((one) => countSlips(base, one)), ...orderSlips(base, used), ...stuckSlips(base, used), ...hurry(base, used)];
}

/** Soft starts that the crew operates; one that a contactor runs by itself is not for them to spoil. */
export function usedSoftStarts(base: Study): UsedSoftStart[] {
  const closings = base.nominal.closings.map(({ closing }) => closing);
  return base.softStarts.flatMap((softStart): UsedSoftStart[] => {
    const entry = closings.find(({ way }) => way === softStart.entry);
    const main = closings.find(({ way, step }) => entry !== undefined && step > entry.step && softStart.mains.some((one) => one.way === way));
    return entry === undefined || main === undefined ? [] : [{ softStart, entry, main }];
  });
}

/** The count of a soft start cut short, left out, or tried twice. */
function countSlips(base: Study, used: UsedSoftStart): Slip[] {
  const { machine, circuit } = base;
  const { entry, main } = used;
  const before = machine.powerUp.slice(0, entry.step);
  const held = machine.powerUp.slice(entry.step, main.step);
  const last = machine.powerUp.slice(main.step, main.step + 1);
  const others = held.filter((step) => step.act !== 'wait' && !('part' in step && step.part === entry.part));
  const contact = closingName(circuit, main);
  const without = slip(`${contact} without its soft start`, [...before, ...others, ...last]);
  // Where it already sparks as written a shorter count tells nothing more.
  if (contactVerdict(base, main) === 'bad') return [without];
  const start = machine.powerUp[entry.step]!;
  const again = undone(base, start);
  return [
    without,
    ...(held.some(isTimed) ? [
      slip(`${contact} after half the count`, [...before, ...shortened(held, 0.5), ...last]),
      slip(`${contact} after a tenth of the count`, [...before, ...shortened(held, 0.1), ...last]),
    ] : []),
    ...(again === undefined ? [] : [slip(`${called(circuit, entry.part)} let go half-way and tried again at once`, [...before, ...shortened(held, 0.5), again, ...held, ...last])]),
  ];
}

/** Steps swapped, late, forgotten, or done twice. */
function orderSlips(base: Study, used: readonly UsedSoftStart[]): Slip[] {
  const steps = base.machine.powerUp;
  const operations = steps.flatMap((step, k) => ('part' in step ? [{ step, k }] : []));
  const closes = (k: number): boolean => base.nominal.closings.some(({ closing }) => closing.step === k);
  const entries = new Set(used.map(({ entry }) => entry.step));
  const mains = new Set(used.map(({ main }) => main.step));
  return operations.flatMap(({ step, k }, at): Slip[] => {
    const found: Slip[] = [];
    const next = operations[at + 1];
    if (next !== undefined && next.step.part !== step.part && !used.some(({ entry, main }) => entry.step === k && main.step === next.k))
      found.push(slip(`“${next.step.text}” before “${step.text}”`, [...steps.slice(0, k), next.step, ...steps.slice(k + 1, next.k), step]));
    if (!closes(k)) {
      if (next !== undefined) found.push(slip(`“${step.text}” forgotten`, without(steps, k)));
      return found;
    }
    if (entries.has(k)) return found;
    if (next !== undefined && !mains.has(k)) found.push(slip(`“${step.text}” forgotten and done at the end`, [...without(steps, k), step]));
    // A ramp is modelled from empty banks up: what it does to full ones is not known.
    const undo = base.nominal.closings.some(({ closing }) => closing.step === k && closing.way.ramp !== undefined) ? undefined : undone(base, step);
    if (undo !== undefined) found.push(slip(`“${step.text}” undone and done again at once`, [...steps.slice(0, k + 1), undo, step]));
    return found;
  });
}

/** Switches that stand closed, by a weld or because nobody turned them back, before the first step. */
function stuckSlips(base: Study, used: readonly UsedSoftStart[]): Slip[] {
  const { circuit, machine, nominal } = base;
  const first = nominal.closings[0]?.closing;
  const at: { part: string; position: string; step: number }[] = [];
  for (const { closing } of nominal.closings) {
    const { part, way } = closing;
    if (part === first?.part || machine.parts.get(part)?.kind === 'solid-state switch') continue;
    const use = used.find(({ entry }) => entry === closing);
    // What the pack feeds at once would spark as the pack is plugged in: no closing of the procedure.
    const live = Math.abs(first?.before?.watched[way.branch.drivenWatch] ?? 0) > 0.5 * base.supply_V;
    if (use === undefined ? live || closing.position !== closedPosition(machine, part) : contactVerdict(base, use.main) === 'bad' && live) continue;
    if (at.some((one) => one.part === part && one.position === closing.position)) continue;
    at.push({ part, position: closing.position, step: use === undefined || !live ? closing.step : use.main.step });
  }
  return at.map(({ part, position, step }): Slip => {
    const how = machine.parts.get(part)?.kind === 'isolator' ? `left or welded at ${position}` : machine.parts.get(part)?.kind === 'link' ? 'left in' : 'stuck closed';
    return { ...slip(`${called(circuit, part)} ${how} before the first step`, machine.powerUp.slice(0, step + 1)), stuck: new Map([[part, position]]) };
  });
}

/** All on, one after the other, without waiting. */
function hurry(base: Study, used: readonly UsedSoftStart[]): Slip[] {
  const steps = base.machine.powerUp;
  if (!steps.some(isTimed) || used.every(({ main }) => contactVerdict(base, main) === 'bad')) return [];
  const hurried = steps.map((step) => (isTimed(step) && step.time.value > PAUSE.low ? shorter(step, PAUSE.low / step.time.value) : step));
  return [{ ...slip('all switches one after the other, without waiting', hurried), hurried: true }];
}

function slip(words: string, steps: readonly Step[]): Slip {
  return { words, steps, stuck: new Map(), hurried: false };
}

function isTimed(step: Step): step is Extract<Step, { act: 'wait' | 'hold' }> {
  return step.act === 'wait' || step.act === 'hold';
}

function shorter(step: Extract<Step, { act: 'wait' | 'hold' }>, share: number): Step {
  return { ...step, time: scaled(step.time, share) };
}

function shortened(steps: readonly Step[], share: number): Step[] {
  return steps.map((step) => (isTimed(step) ? shorter(step, share) : step));
}

function without(steps: readonly Step[], k: number): Step[] {
  return steps.filter((_, index) => index !== k);
}

/** What takes a step back: the switch to its open position. */
function undone(base: Study, step: Step): Operation | undefined {
  if (!('part' in step) || step.act === 'hold') return undefined;
  const { part, line } = step;
  switch (step.act) {
    case 'turn': {
      const position = openPosition(base.machine, part);
      return { act: 'turn', part, position, text: `turn ${part} to ${position}`, line };
    }
    case 'press':
      return { act: 'release', part, text: `release ${part}`, line };
    case 'insert':
      return { act: 'remove', part, text: `remove ${part}`, line };
    case 'connect':
      return { act: 'disconnect', part, text: `disconnect ${part}`, line };
    case 'close':
      return { act: 'open', part, text: `open ${part}`, line };
    default:
      return undefined;
  }
}
