import type { Answer } from '../../questions/answer.ts';
import type { Block, Paper } from '../document/document.ts';
import { decidingWords, valueWords } from '../report/words.ts';
import { answerTo, type PaperSource } from '../source.ts';
import { cardSteps } from './step-words.ts';

/** Slips named on the card: what nobody reads to the end helps nobody. */
const MOST_SLIPS = 4;

/** How the machine is switched on and off: one page, read aloud. */
export function powerCard(source: PaperSource): Paper | undefined {
  const { machine, stamp } = source;
  if (machine.powerUp.length === 0) return undefined;
  const up = cardSteps(source, 'power up');
  const down = cardSteps(source, 'power down');
  return {
    title: 'Power-up and power-down card',
    stamp,
    layout: 'card',
    lead: 'One does, one reads aloud. Counts are a guide: the lamp and the meter decide. Weapon locked, wheels off the ground, until all are out.',
    blocks: [
      ...notReady(source),
      { type: 'steps', title: 'Up', expects: 'Must show', otherwise: 'If not', first: 1, steps: up },
      ...(down.length === 0 ? [] : [{ type: 'steps', title: 'Down', expects: 'Must show', otherwise: 'If not', first: up.length + 1, steps: down } as const]),
      ...safeToTouch(source),
      ...slips(source),
      { type: 'caution', text: 'a lamp that stays dim, or a meter that does not come up in time, means something is on. Do not hold longer and do not go on: back to OFF.' },
      { type: 'blanks', names: ['Date, match', 'Pack at rest, V', 'Behind the soft start, V', 'Initials'] },
    ],
  };
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

/** How long to wait after the last switch, from the answer about discharging. */
export function safeToTouch(source: PaperSource): Block[] {
  const answer = answerTo(source, 'discharge');
  if (answer === undefined || answer.items.length === 0) return [];
  const groups = answer.items.filter(({ slip }) => !slip);
  const times = groups.map(({ where, figure }) => `${where}: ${figure === undefined ? 'not within ten minutes' : valueWords(figure.value, figure.dimension)}`);
  return [{ type: 'paragraph', strong: true, text: `Below 5 V after the last switch, ${times.join('; ')}. Measure before you reach in.` }];
}

function slips(source: PaperSource): Block[] {
  const found = (answerTo(source, 'spark')?.items ?? []).filter(({ slip, verdict }) => slip && verdict !== 'good').slice(0, MOST_SLIPS);
  if (found.length === 0) return [];
  return [{ type: 'list', title: 'What a slip would do', lines: found.map(({ where, says }) => `${where}: ${says}`) }];
}

/** `Will closing a switch spark? drive isolator Q1 to ON: 34.5 V across the contact as it closes, at most 10.6 V.` */
function notReadyWords(answer: Answer): string {
  const { where, figure, rest } = decidingWords(answer);
  const words = answer.figure === undefined ? (answer.items.find(({ verdict }) => verdict === 'bad')?.says ?? answer.says) : `${where === undefined ? '' : `${where}: `}${figure}${rest}.`;
  return `${answer.question} ${words}`;
}
