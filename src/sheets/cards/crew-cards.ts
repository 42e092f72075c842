import { closedPosition, openPosition } from '../../machine/circuit/positions.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Part } from '../../machine/parts.ts';
import type { Item } from '../../questions/answer.ts';
import type { Block, CardStep, Paper } from '../document/document.ts';
import { valueWords } from '../report/words.ts';
import { answerTo, calledPart, type PaperSource } from '../source.ts';
import { safeToTouch } from './power-card.ts';
import { cardSteps } from './step-words.ts';
import { WhatStops } from './what-stops.ts';
import { lockedWords, whatTurns } from './what-turns.ts';

/** Between matches: what to measure, to look at and to put back, for the parts that this machine has. */
export function pitCard(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const of = (...kinds: readonly string[]): Part[] => [...machine.parts.values()].filter(({ kind }) => kinds.includes(kind));
  const each = (parts: readonly Part[], words: (name: string) => string): string[] => parts.map(({ id }) => words(calledPart(machine, id)));
  const names = (parts: readonly Part[]): string => parts.map(({ id }) => id).join(', ');
  const plugs = of('connector', 'link');
  const switches = of('isolator', 'contactor', 'button');
  const lamps = of('lamp');
  const fuses = of('fuse');
  return {
    title: 'Pit card',
    stamp,
    layout: 'card',
    lead: 'Between matches, in this order. Tick each line; what cannot be ticked is said aloud.',
    blocks: [
      { type: 'boxes', title: 'First', lines: [lockedWords(machine), ...(machine.powerDown.length === 0 ? [] : [`Off: ${cardSteps(source, 'power down').map(({ does }) => lowered(does)).join(', ')}`])] },
      ...safeToTouch(source),
      {
        type: 'boxes', title: 'Pack',
        lines: [...each(of('pack'), (name) => `${name}: out, not warm, not swollen; each cell measured and written down`), ...packLines(source)],
      },
      {
        type: 'boxes', title: 'Wires and contacts',
        lines: [
          ...(plugs.length === 0 ? [] : [`${names(plugs)}: no black or loose pin, pushed home, held`]),
          ...(switches.length === 0 ? [] : [`${names(switches)}: turns and clicks as usual, not hot`]),
          ...(fuses.length === 0 ? [] : [`${names(fuses)}: whole, seated, not discoloured`]),
          'Every wire pulled by hand, none rubbed through, none near what turns',
          'Screws of lugs and bars tight, marks in line',
        ],
      },
      {
        type: 'boxes', title: 'Ready',
        lines: [
          'Fresh pack in, tied, leads clear',
          ...(lamps.length === 0 ? [] : [`${names(lamps)} lit on the last power-up`]),
          'Transmitter on the right model, its battery full',
          'Power-up card at hand',
        ],
      },
      { type: 'blanks', names: ['Match', 'Pack before, V', 'Pack after, V', 'Initials'] },
    ],
  };
}

/** What the answer about the time between matches says, where it was asked. */
function packLines(source: PaperSource): string[] {
  const answer = answerTo(source, 'turnaround');
  return answer === undefined ? [] : [answer.says];
}

/** Programming on the bench: supply, what must be locked, what the answers say about power. */
export function benchCard(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const answer = answerTo(source, 'programming');
  const controllers = [...machine.parts.values()].filter(({ kind }) => kind === 'controller');
  const step = (who: string, does: string, detail: string, expect: string, otherwise: string): CardStep => ({ who, does, detail, expect, otherwise });
  const packs = [...machine.parts.values()].filter(({ kind }) => kind === 'pack').map(({ id }) => id);
  const lamps = [...machine.parts.values()].some(({ kind }) => kind === 'lamp');
  return {
    title: 'Bench programming card',
    stamp,
    layout: 'card',
    lead: 'Setting up controllers with little power. What holds little energy can still move: a controller turns little battery power into much motor current.',
    blocks: [
      { type: 'caution', text: `${lowered(lockedWords(machine))}, each time. Nobody in front of what can turn.` },
      {
        type: 'steps', title: 'Steps', expects: 'Must show', otherwise: 'If not', first: 1,
        steps: [
          step('Hands', lockedWords(machine), '', whatTurns(machine).locked.length > 0 ? 'what is locked stays, turned by hand' : 'wheels turn freely by hand', 'stop here'),
          step('Hands', packs.length === 0 ? 'Packs out' : `${packs.length === 1 ? 'Pack' : 'Packs'} ${packs.join(', ')} out`, '', lamps ? 'no lamp lit' : 'nothing lit', 'wait, measure'),
          step('Hands', 'Feed from a bench supply or through a lamp', 'voltage and current limit as below', 'current falls to standby', 'off: something is on'),
          step('Driver', 'Transmitter on, sticks at rest', '', 'receiver linked', 'stop here'),
          step('Hands', 'Programmer or computer in, one controller at a time', controllers.map(({ id }) => id).join(', '), 'controller answers', 'lead out again'),
          step('All', 'Before any test turn: say it aloud, hands away', '', 'everyone answers', 'no turn'),
          step('Hands', 'Lead out, supply off', '', lamps ? 'lamps fade' : 'everything dark', 'measure before you reach in'),
        ],
      },
      answer === undefined
        ? { type: 'paragraph', text: 'What the supply may give without a motor being able to turn is not computed yet: set the lowest limit at which the controllers stay awake.' }
        : { type: 'verdict', verdict: answer.verdict, question: answer.question, says: answer.items.some(({ slip }) => !slip) ? 'Each way of feeding it is judged below.' : answer.says },
      ...(answer === undefined ? [] : itemsTable(answer.items)),
      ...standby(source),
      ...(answer === undefined ? [] : answer.cautions.map((text): Block => ({ type: 'caution', text }))),
      { type: 'blanks', names: ['Date', 'Supply set to, V', 'Limit, A', 'Initials'] },
    ],
  };
}

function itemsTable(items: readonly Item[]): Block[] {
  const shown = items.filter(({ slip }) => !slip).slice(0, 6);
  return shown.length === 0 ? [] : [{ type: 'table', title: 'Ways of feeding it', columns: [{ name: 'Fed by' }, { name: 'Verdict' }, { name: 'What can happen' }], rows: shown.map(({ where, verdict, says }) => [where, verdict, says]) }];
}

function lowered(text: string): string {
  return `${text.charAt(0).toLowerCase()}${text.slice(1)}`;
}

/** What draws when nothing moves, as the file or its class says. */
function standby({ machine }: PaperSource): Block[] {
  const rows = [...machine.parts.values()].flatMap((part): string[][] =>
    (part.kind === 'controller' && part.values.standby !== undefined ? [[calledPart(machine, part.id), valueWords(part.values.standby.value, 'current'), part.values.standby.origin]] : []));
  return rows.length === 0 ? [] : [{ type: 'table', title: 'What each draws at rest', columns: [{ name: 'Controller' }, { name: 'At rest' }, { name: 'Where this is from' }], rows }];
}

/** When it burns, runs away or will not switch off. */
export function emergencyCard(source: PaperSource): Paper {
  const { machine, stamp } = source;
  const off = offParts(machine);
  const stops = off.length === 0 ? [] : new WhatStops(machine).wordsOf(off.map(({ id }) => id));
  return {
    title: 'Emergency card',
    stamp,
    layout: 'card',
    lead: 'People first. A machine can be built again.',
    blocks: [
      {
        type: 'steps', title: 'It runs away, or does not answer', expects: 'Then', otherwise: 'If it goes on', first: 1,
        steps: [
          { who: 'All', does: 'Call it, doors shut, nobody near', detail: '', expect: 'transmitter off: motors stop, if the failsafe is set and was tested', otherwise: 'wait until it has stopped by itself' },
          ...off.map(({ does, access }, k): CardStep => ({ who: 'Hands', does, detail: access, expect: stops[k] ?? '', otherwise: 'next line' })),
          { who: 'Hands', does: 'Pack out, or its lead cut one wire at a time', detail: 'never both wires in one cut', expect: 'dead, once the banks are empty', otherwise: 'stay clear' },
        ],
      },
      ...(cardSteps(source, 'power down').length === 0 ? [{ type: 'paragraph', text: 'The file names no power down: write one.' } as const] : []),
      ...safeToTouch(source),
      {
        type: 'list', title: 'Smoke or fire at the pack',
        lines: ['Call for help, then away from it: smoke of lithium cells is poisonous.', 'Outside or into a fire container if it can be moved without touching; plenty of water or sand from a distance.', 'No rescue of the machine. Watch it for an hour: cells light again.'],
      },
      {
        type: 'list', title: 'A contact is welded: it is OFF and still alive',
        lines: ['Do not reach in. Pull the next thing on the list above.', 'Afterwards: the contact is changed, not freed by turning it to and fro.'],
      },
      { type: 'caution', text: 'what still turns feeds the machine: wait until it stands still before you open or touch any lead.' },
      { type: 'blanks', names: ['Who has the fire blanket', 'Who has the keys', 'Help: number'] },
    ],
  };
}

/** What breaks the main current, in the order of the power down, then what it does not name. */
function offParts(machine: Machine): { readonly id: string; readonly does: string; readonly access: string }[] {
  const named = machine.powerDown.flatMap((step) => ('part' in step ? [step.part] : []));
  const others = [...machine.parts.values()].filter(({ kind, id }) => ['isolator', 'link', 'contactor', 'solid-state switch', 'connector'].includes(kind) && !named.includes(id)).map(({ id }) => id);
  return [...new Set([...named, ...others])].flatMap((id) => {
    const part = machine.parts.get(id);
    if (part === undefined || part.kind === 'button' || closedPosition(machine, id) === openPosition(machine, id)) return [];
    const pulled = part.kind === 'link' || part.kind === 'connector';
    const name = calledPart(machine, id);
    const access = part.kind === 'isolator' ? (part.values.access ?? '') : '';
    return [{ id, does: pulled ? `Pull ${name}` : `${name.charAt(0).toUpperCase()}${name.slice(1)} ${part.kind === 'isolator' ? openPosition(machine, id) : 'OFF'}`, access }];
  });
}
