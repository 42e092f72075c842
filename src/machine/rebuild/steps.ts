import type { MachineEdit } from '../file/edit.ts';
import type { Machine, Step } from '../machine.ts';

/** Both lists of steps of a file. */
export const STEP_LISTS = [['procedure', 'powerUp'], ['power down', 'powerDown']] as const;

export function isPartStep(step: Step): step is Extract<Step, { part: string }> {
  return 'part' in step;
}

/** How a crew closes and opens a new switch. */
const CLOSING: Readonly<Record<string, readonly [close: string, open: string]>> = {
  isolator: ['close', 'open'], contactor: ['close', 'open'], 'solid-state switch': ['close', 'open'], link: ['insert', 'remove'],
};

/**
 * Steps for a switch that comes into a lead, so that it is not left open: closed before all others, while nothing can
 * flow yet, and opened after them. A machine without a procedure gets none.
 */
export function newSwitchSteps(machine: Machine, id: string, kind: string): { readonly edits: readonly MachineEdit[]; readonly also: readonly string[] } {
  const words = CLOSING[kind];
  if (words === undefined || machine.powerUp.length === 0) return { edits: [], also: [] };
  const first = machine.powerUp.findIndex(isPartStep);
  const at = first < 0 ? machine.powerUp.length : first;
  const close = `${words[0]} ${id}`;
  const edits: MachineEdit[] = [{ path: ['procedure', at], text: close, insert: true }];
  const also = [`The procedure gets the step "${close}", before the other switches. Move it where your crew does it.`];
  if (machine.powerDown.length > 0) {
    const last = machine.powerDown.findLastIndex(isPartStep);
    const open = `${words[1]} ${id}`;
    edits.push({ path: ['power down', last + 1], text: open, insert: true });
    also.push(`Power down gets the step "${open}", after them.`);
  }
  return { edits, also };
}

/** Numbers of the steps that go: those told of, and the waiting that only they began. */
export function goingSteps(steps: readonly Step[], goes: (step: Extract<Step, { part: string }>) => boolean): number[] {
  const going: number[] = [];
  steps.forEach((step, k) => {
    const afterGone = step.act === 'wait' && going.at(-1) === k - 1 && k > 0;
    if (afterGone || (isPartStep(step) && goes(step))) going.push(k);
  });
  return going;
}

/** Lines of the duty without what goes: a line that was about nothing else goes with it. */
export function dutyEdits(machine: Machine, gone: ReadonlySet<string>, also: string[]): MachineEdit[] {
  const edits: MachineEdit[] = [];
  let lines = 0;
  if (machine.duty.name !== 'own') return [];
  machine.duty.events.forEach(({ with: parts }, k) => {
    if (!parts.some((part) => gone.has(part))) return;
    const rest = parts.filter((part) => !gone.has(part));
    if (rest.length === 0) lines += 1;
    edits.push(rest.length === 0 ? { path: ['duty', k], text: '' } : { path: ['duty', k, 'with'], text: rest.join(', ') });
  });
  if (edits.length === 0) return [];
  also.push(lines === 0 ? 'The duty names it no more.' : `The duty loses ${lines === 1 ? 'a line' : `${lines} lines`}.`);
  return lines === machine.duty.events.length ? [{ path: ['duty'], text: '' }] : edits.reverse();
}
