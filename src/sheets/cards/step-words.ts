import { openPosition } from '../../machine/circuit/positions.ts';
import type { Machine, Step } from '../../machine/machine.ts';
import type { Item } from '../../questions/answer.ts';
import { fedBefore, type Fed } from '../../questions/fed-parts.ts';
import type { CardStep } from '../document/document.ts';
import { valueWords } from '../report/words.ts';
import { answerTo, calledPart, type PaperSource } from '../source.ts';
import type { SwitchPictures } from './switch-pictures.ts';

type Operation = Extract<Step, { readonly part: string }>;
type Procedure = 'power up' | 'power down';

/** What opens a switch. */
const UNDOES: readonly Step['act'][] = ['release', 'remove', 'disconnect', 'open'];
/** Less than this share of what may be missing is not worth a meter. */
const WORTH_A_METER = 0.05;

/** The steps of a procedure as the crew reads them; a wait stands with the step before it. */
export function cardSteps(source: PaperSource, list: Procedure, pictures?: SwitchPictures): CardStep[] {
  const { machine } = source;
  const steps = list === 'power up' ? machine.powerUp : machine.powerDown;
  return steps.flatMap((step, k): CardStep[] => {
    if (step.act === 'wait' && k > 0 && 'part' in steps[k - 1]!) return [];
    const next = steps[k + 1];
    const wait = next?.act === 'wait' ? next : undefined;
    const picture = pictures === undefined ? {} : { picture: pictures.after(k) };
    if (step.act === 'crew') return [{ who: whoSays(step.text), does: sentenceCase(step.text), detail: '', expect: '', otherwise: list === 'power up' && k < steps.length - 1 ? 'stop here' : '', ...picture }];
    if (step.act === 'wait') return [{ who: 'All', does: `Wait ${valueWords(step.time.value, 'time')}`, detail: '', expect: '', otherwise: '', ...picture }];
    return [{ ...operation(source, list, steps, step, k, wait), ...picture }];
  });
}

/** Whoever holds the transmitter does what is done with it; everything else is for the hands at the machine. */
function whoSays(text: string): string {
  return /\b(transmitter|remote|radio|sticks?|throttle)\b|^(ride|drive)\b/i.test(text) ? 'Driver' : 'Hands';
}

function operation(source: PaperSource, list: Procedure, steps: readonly Step[], step: Operation, k: number, wait: Extract<Step, { act: 'wait' }> | undefined): CardStep {
  const { machine } = source;
  const held = step.act === 'hold' ? step.time : wait?.time;
  const count = held === undefined ? '' : `count ${valueWords(held.value, 'time')}`;
  const needed = list === 'power up' && !UNDOES.includes(step.act) ? neededWords(source, step) : '';
  return {
    who: 'Hands',
    does: doing(machine, step),
    detail: [count, needed].filter((words) => words !== '').join('; '),
    expect: [...changes(machine, steps, k, list), ...(list === 'power up' ? closingWords(source, step) : [])].join('; '),
    otherwise: list === 'power up' ? backWords(machine, steps, k) : 'stay clear, call it',
  };
}

function doing(machine: Machine, step: Operation): string {
  const name = calledPart(machine, step.part);
  const said = sentenceCase(name);
  switch (step.act) {
    case 'turn':
      return `${said} to ${step.position}`;
    case 'press':
      return `Press ${name} and keep it pressed`;
    case 'hold':
      return `Hold ${name}`;
    case 'release':
      return `Let go of ${name}`;
    case 'insert':
      return `${said} in`;
    case 'remove':
      return `${said} out`;
    case 'connect':
      return `Plug in ${name}`;
    case 'disconnect':
      return `Unplug ${name}`;
    case 'close':
      return `${said} ON`;
    case 'open':
      return `${said} OFF`;
  }
}

/** What the answer about holding says that a soft start needs. */
function neededWords(source: PaperSource, step: Operation): string {
  const item = holdItem(source, step);
  if (item === undefined) return '';
  return item.figure === undefined ? 'no time is enough' : `needs ${valueWords(item.figure.value, item.figure.dimension)}`;
}

/** The entry about a soft start that this step begins. */
export function holdItem(source: PaperSource, step: Operation): Item | undefined {
  return answerTo(source, 'hold')?.items.find(({ parts, where }) => parts[0] === step.part && (step.act !== 'turn' || where.endsWith(` at ${step.position}`)));
}

/** The entry about the contact that this step closes, as the procedure is written. */
export function sparkItem(source: PaperSource, step: Operation): Item | undefined {
  return answerTo(source, 'spark')?.items.find(({ parts, where, slip }) => !slip && parts[0] === step.part && (step.act === 'turn' ? where.endsWith(` to ${step.position}`) : where.endsWith(' closes') || where.endsWith(' to ON')));
}

/** What a meter or an ear finds as a main contact closes. */
function closingWords(source: PaperSource, step: Operation): string[] {
  const item = sparkItem(source, step);
  if (item?.figure === undefined || item.limit === undefined) return [];
  const { value, dimension } = item.figure;
  if (UNDOES.includes(step.act) || !(value > WORTH_A_METER * item.limit)) return [];
  const sound = item.verdict === 'good' ? 'a tick at most' : item.verdict === 'bad' ? 'it SPARKS as it is built' : 'a snap';
  return [`meter just before: at most ${valueWords(item.limit, dimension)} below the pack (computed ${valueWords(Math.max(0, value), dimension)}); ${sound}`];
}

/** Lamps that change with a step, and what wakes where no lamp tells. */
function changes(machine: Machine, steps: readonly Step[], k: number, list: Procedure): string[] {
  const at = list === 'power up' ? 'off' : 'on';
  const [before, after] = [fedBefore(machine, steps, k, at), fedBefore(machine, steps, k + 1, at)];
  const of = (kinds: readonly string[]): string[] => [...machine.parts.values()].filter(({ kind }) => kinds.includes(kind)).map(({ id }) => id);
  const changed = (ids: readonly string[]): { readonly id: string; readonly now: Fed; readonly was: Fed }[] => ids.map((id) => ({ id, now: after(id), was: before(id) })).filter(({ now, was }) => now !== was);
  const lamps = changed(of(['lamp'])).map(({ id, now }) => `lamp ${id} ${now === 'not' ? 'fades' : now === 'directly' ? 'full' : 'comes up'}`);
  if (lamps.length > 0) return lamps;
  const woken = changed(of(['controller'])).filter(({ was, now }) => was === 'not' || now === 'not');
  if (woken.length === 0) return of(['lamp']).length > 0 && list === 'power up' ? ['no lamp changes'] : [];
  return [`${woken.map(({ id }) => id).join(', ')} ${woken.every(({ now }) => now === 'not') ? 'dead' : 'awake'} (no lamp tells: meter)`];
}

/** How to take the machine back from a step that went wrong: the switches that are closed by then, the last one first. */
function backWords(machine: Machine, steps: readonly Step[], k: number): string {
  const closed = new Map<string, Operation>();
  for (const step of steps.slice(0, k + 1)) {
    if (!('part' in step)) continue;
    closed.delete(step.part);
    if (!UNDOES.includes(step.act)) closed.set(step.part, step);
  }
  const words = [...closed.values()].reverse().map(({ part, act }) => {
    if (act === 'insert' || act === 'connect') return `${part} out`;
    if (act === 'press' || act === 'hold') return `let go of ${part}`;
    return `${part} ${machine.parts.get(part)?.kind === 'isolator' ? openPosition(machine, part) : 'OFF'}`;
  });
  return words.length === 0 ? '' : words.join(', ');
}

function sentenceCase(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
