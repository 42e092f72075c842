import type { Machine } from '../../machine/machine.ts';
import type { Answer, Item } from '../../questions/answer.ts';
import { fedBefore } from '../../questions/fed-parts.ts';
import type { Block, Paper } from '../document/document.ts';
import type { Sheet } from '../drawing/shapes.ts';
import { capital, decidingWords, valueWords } from '../report/words.ts';
import { answerTo, type PaperSource } from '../source.ts';
import { cardSteps } from './step-words.ts';
import { switchPictures, type SwitchPictures } from './switch-pictures.ts';
import { lockedWords } from './what-turns.ts';

/** Slips named on the card: what nobody reads to the end helps nobody. */
const MOST_SLIPS = 4;

/** How the machine is switched on and off: one page, read aloud. */
export function powerCard(source: PaperSource): Paper | undefined {
  const { machine, stamp } = source;
  if (machine.powerUp.length === 0) return undefined;
  const [upPictures, downPictures] = [switchPictures(machine, 'power up'), switchPictures(machine, 'power down')];
  const up = cardSteps(source, 'power up', upPictures);
  const down = cardSteps(source, 'power down', downPictures);
  const lamps = [...machine.parts.values()].some(({ kind }) => kind === 'lamp');
  const soft = startsSoftly(machine) || (answerTo(source, 'hold')?.items.length ?? 0) > 0;
  return {
    title: 'Power-up and power-down card',
    stamp,
    layout: 'card',
    lead: `One does, one reads aloud. Counts are a guide: ${lamps ? 'the lamp and the meter decide' : 'the meter decides'}. ${lockedWords(machine)}, until all are out.${upPictures === undefined ? '' : ' Pictures: how each switch stands after the step; black is what moves now.'}`,
    blocks: [
      ...notReady(source),
      { type: 'steps', title: 'Up', expects: 'Must show', otherwise: 'If not', first: 1, steps: up, ...pictured(upPictures) },
      ...(down.length === 0 ? [] : [{ type: 'steps', title: 'Down', expects: 'Must show', otherwise: 'If not', first: up.length + 1, steps: down, ...pictured(downPictures) } as const]),
      ...safeToTouch(source),
      ...slips(source),
      {
        type: 'caution',
        text: soft
          ? `${lamps ? 'a lamp that stays dim, or a meter that does not come up in time, means' : 'a meter that does not come up in time means'} something is on. Do not hold longer and do not go on: back to OFF.`
          : 'anything that is not as it stands here: do not go on, back to OFF.',
      },
      { type: 'blanks', names: ['Date, match', 'Pack at rest, V', ...(soft ? ['Behind the soft start, V'] : []), 'Initials'] },
    ],
  };
}

function pictured(pictures: SwitchPictures | undefined): { readonly pictured?: Sheet } {
  return pictures === undefined ? {} : { pictured: pictures.head };
}

/** A card for a procedure that the answers call bad says so before its first step. */
function notReady(source: PaperSource): Block[] {
  const bad = ['spark', 'hold', 'soft-start'].flatMap((id) => {
    const answer = answerTo(source, id);
    return answer?.verdict === 'bad' ? [answer] : [];
  });
  if (bad.length === 0) return [];
  return [{ type: 'caution', text: `not ready as it is built. ${bad.map(notReadyWords).join(' ')}` }];
}

/** Whether some step of the power-up feeds something through a resistor first. */
function startsSoftly(machine: Machine): boolean {
  const loads = [...machine.parts.values()].filter(({ kind }) => ['controller', 'converter', 'lamp'].includes(kind)).map(({ id }) => id);
  return machine.powerUp.some((_, k) => {
    const fed = fedBefore(machine, machine.powerUp, k + 1, 'off');
    return loads.some((id) => fed(id) === 'through a resistor');
  });
}

/** By this share the slow end of the spread must be later to be worth a word. */
const WORTH_A_WORD = 1.05;

/** How long to wait after the last switch, from the answer about discharging. */
export function safeToTouch(source: PaperSource): Block[] {
  const answer = answerTo(source, 'discharge');
  if (answer === undefined || answer.items.length === 0) return [];
  const words = ({ where, figure }: Item): string => {
    if (figure === undefined) return `${where}: not within ten minutes`;
    const late = figure.high > WORTH_A_WORD * figure.value ? `, at the latest ${valueWords(figure.high, figure.dimension)}` : '';
    return `${where}: ${valueWords(figure.value, figure.dimension)}${late}`;
  };
  const slow = answer.items.filter(({ slip, figure }) => slip && figure === undefined).map(({ where }) => where);
  return [
    { type: 'paragraph', strong: true, text: `Time until less than 5 V is left after the last switch, ${answer.items.filter(({ slip }) => !slip).map(words).join('; ')}. Measure before you reach in.` },
    ...(slow.length === 0 ? [] : [{ type: 'paragraph', text: `Not within ten minutes: ${slow.join('; ')}.` } as const]),
  ];
}

function slips(source: PaperSource): Block[] {
  const found = (answerTo(source, 'spark')?.items ?? []).filter(({ slip, verdict }) => slip && verdict !== 'good').slice(0, MOST_SLIPS);
  if (found.length === 0) return [];
  return [{ type: 'list', title: 'What a slip would do', lines: found.map(({ where, says }) => `${where}: ${inShort(says)}`) }];
}

/** A sentence of an answer without its asides: a card is read in a hurry. */
function inShort(says: string): string {
  return says.replace(/ \([^)]*\)/g, '').replace(/; [^;:]* decides: /g, ': ');
}

/** `Will closing a switch spark? Drive isolator Q1 to ON: 34.5 V across the contact as it closes, at most 10.6 V.` */
function notReadyWords(answer: Answer): string {
  const { where, figure, rest } = decidingWords(answer);
  const words = answer.figure === undefined ? (answer.items.find(({ verdict }) => verdict === 'bad')?.says ?? answer.says) : `${where === undefined ? '' : `${where}: `}${figure}${rest}.`;
  return `${answer.question} ${capital(words)}`;
}
