import { openPosition } from '../../machine/circuit/positions.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import { fedBefore } from '../../questions/fed-parts.ts';
import { calledPart } from '../../sheets/source.ts';
import type { Screen } from './screen.ts';

const CHANGE_IT = 'Stop here: it is stuck, or something bridges it. Change it before the pack goes in.';

/**
 * What is looked at before there is power: that nothing can move, and that every switch which the crew operates opens.
 * A contact that is welded or a button that stays down makes every later step a lie.
 */
export function checkScreens(machine: Machine): readonly Screen[] {
  const operated = operatedParts(machine);
  if (operated.length === 0) return [];
  const check = (one: Pick<Screen, 'does' | 'shows'> & Partial<Screen>): Screen => ({
    stage: 'check', who: 'Hands', detail: undefined, count: undefined, warning: undefined, otherwise: CHANGE_IT, back: [], ...one,
  });
  const plugged = plugs(machine);
  return [
    check({
      does: 'Weapon locked, wheels off the ground',
      shows: [{ where: 'Hand', what: 'turn each: it stays where it is' }],
      otherwise: 'Stop here until it is locked.',
    }),
    check({
      does: plugged.length === 0 ? 'Packs out' : `${sentenceCase(plugged.join(', '))} out`,
      detail: 'No power while the switches are tried.',
      shows: [...lampLine(machine, 'no lamp lit')],
      otherwise: 'Stop here: something still feeds it. Packs out, wait, measure.',
    }),
    ...operated.map((part) => tried(machine, part, check)),
    ...(plugged.length === 0 || firstStepPlugs(machine) ? [] : [check({
      does: `${sentenceCase(plugged.join(', '))} in`,
      detail: 'Every switch is OFF.',
      shows: fedAtRest(machine),
      otherwise: 'Out again: a switch is stuck closed.',
      back: plugged.map((name) => `${name} out`),
    })]),
  ];
}

function tried(machine: Machine, part: Part, check: (one: Pick<Screen, 'does' | 'shows'> & Partial<Screen>) => Screen): Screen {
  const name = calledPart(machine, part.id);
  const open = { where: 'Meter', what: 'open across it: no lasting beep' } as const;
  if (part.kind === 'button') return check({ does: `Press ${name} twice`, detail: 'Let it come back by itself.', shows: [{ where: 'Hand', what: 'it springs back, a click each time' }, open] });
  if (part.kind === 'isolator') {
    const off = openPosition(machine, part.id);
    return check({ does: `${sentenceCase(name)} through and back to ${off}`, shows: [{ where: 'Hand', what: `it turns as usual and stops at ${off}` }, open] });
  }
  return check({ does: `${sentenceCase(name)} OFF`, shows: [open] });
}

/** Switches of the power-up that can be stuck: what is pulled out by hand cannot. */
function operatedParts(machine: Machine): readonly Part[] {
  const ids = new Set(machine.powerUp.flatMap((step) => ('part' in step ? [step.part] : [])));
  return [...ids].flatMap((id) => {
    const part = machine.parts.get(id);
    return part !== undefined && ['button', 'isolator', 'contactor', 'solid-state switch'].includes(part.kind) ? [part] : [];
  });
}

/** What takes the pack away from the switches: links and plugs that the power-up puts in, otherwise the pack's connector. */
function plugs(machine: Machine): readonly string[] {
  const put = machine.powerUp.flatMap((step) => (step.act === 'insert' || step.act === 'connect' ? [step.part] : []));
  const pulled = put.length > 0 ? put : [...machine.parts.values()].filter(({ kind }) => kind === 'connector').slice(0, 1).map(({ id }) => id);
  return [...new Set(pulled)].map((id) => calledPart(machine, id));
}

/** Whether the procedure itself puts in what was taken out. */
function firstStepPlugs(machine: Machine): boolean {
  return machine.powerUp.some(({ act }) => act === 'insert' || act === 'connect');
}

/** What is lit with every switch open: a lamp that hangs before them, or none. */
function fedAtRest(machine: Machine): Screen['shows'] {
  const fed = fedBefore(machine, machine.powerUp, 0, 'off');
  const lamps = [...machine.parts.values()].filter(({ kind, id }) => kind === 'lamp' && fed(id) !== 'not').map(({ id }) => id);
  return [...lampLine(machine, lamps.length === 0 ? 'no lamp lit' : `${lamps.join(', ')} lit, no other`), { where: 'Hand', what: 'nothing twitches' }];
}

function lampLine(machine: Machine, what: string): Screen['shows'] {
  return [...machine.parts.values()].some(({ kind }) => kind === 'lamp') ? [{ where: 'Lamp', what }] : [];
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
