import type { Machine, Step } from '../../machine/machine.ts';
import type { Answer } from '../../questions/answer.ts';
import { cardSteps, holdItem, sparkItem } from '../../sheets/cards/step-words.ts';
import { valueWords } from '../../sheets/report/words.ts';
import { answerTo, type PaperSource } from '../../sheets/source.ts';
import { checkScreens } from './check.ts';
import type { Count, Procedure, Screen } from './screen.ts';

/** Machine and answers that belong together. */
export type CrewSource = Pick<PaperSource, 'machine' | 'answers'>;

const ON_SOMETHING = 'Let go: something is on.';
const STOP = 'Stop here.';

/** All screens of a procedure: before a power-up what could be stuck, after a power-down the wait until it is empty. */
export function crewScreens(source: CrewSource, list: Procedure): readonly Screen[] {
  const { machine } = source;
  const steps = list === 'power up' ? machine.powerUp : machine.powerDown;
  // A wait stands with the operation before it, as on the printed card.
  const shown = steps.map((step, k) => ({ step, k })).filter(({ step, k }) => !(step.act === 'wait' && k > 0 && 'part' in steps[k - 1]!));
  const screens = cardSteps(source as PaperSource, list).map((card, n): Screen => {
    const { step, k } = shown[n]!;
    const held = list === 'power up' ? holding(source, steps, k) : undefined;
    const wait = held ?? { count: waiting(step, steps[k + 1]), warning: undefined };
    const lamps = card.expect.split('; ').filter((words) => /^(no )?lamp |no lamp tells/.test(words));
    const back = 'part' in step && list === 'power up' ? card.otherwise.split(', ').filter((words) => words !== '') : [];
    return {
      stage: 'step',
      who: card.who,
      does: card.does,
      detail: undefined,
      shows: [
        ...lamps.map((words) => ({ where: /no lamp tells/.test(words) ? 'Meter' as const : 'Lamp' as const, what: lampWords(words) })),
        ...(held === undefined ? [] : beforeClosing(source, steps, k)),
        ...(list === 'power up' && 'part' in step ? closing(source, step) : []),
      ],
      count: wait.count,
      warning: wait.warning,
      otherwise: list === 'power down' ? 'Stay clear. Say aloud what is still on.' : held === undefined ? STOP : ON_SOMETHING,
      back: list === 'power down' ? [] : back,
    };
  });
  return list === 'power up' ? [...checkScreens(machine), ...screens] : [...screens, ...emptying(source)];
}

/** Answers that are bad for a procedure as it is written, or refused: the crew is told before its first step. */
export function notReady({ answers }: CrewSource): readonly Answer[] {
  return ['stall', 'hold', 'spark', 'soft-start'].flatMap((id) => {
    const answer = answerTo({ answers }, id);
    return answer?.verdict === 'bad' || answer?.refused !== undefined ? [answer] : [];
  });
}

/** `lamp P1 comes up` stands beside the word Lamp. */
function lampWords(words: string): string {
  if (/no lamp tells/.test(words)) return words.replace(/ \(no lamp tells: meter\)/, '');
  return words.startsWith('lamp ') ? words.slice('lamp '.length) : words;
}

/** The count of a step that holds a soft start, from the answer about holding; undefined where it holds none. */
function holding(source: CrewSource, steps: readonly Step[], k: number): { readonly count: Count | undefined; readonly warning: string | undefined } | undefined {
  const step = steps[k]!;
  if (!('part' in step) || step.act === 'release' || step.act === 'open') return undefined;
  const item = holdItem(source as PaperSource, step);
  if (item === undefined) return undefined;
  if (item.figure === undefined) return { count: undefined, warning: `As it is built: ${item.says}` };
  const stated_s = written(step, steps[k + 1]) ?? item.limit;
  const needed_s = item.figure.high;
  const words = valueWords(needed_s, 'time');
  const short = stated_s !== undefined && needed_s > stated_s;
  return {
    count: {
      guide_s: Math.max(needed_s, stated_s ?? 0),
      from: stated_s === undefined ? `Computed: ${words}.` : `In the file: ${valueWords(stated_s, 'time')}. Computed: ${words}.`,
      cue: cueOf(step),
      overdue: ON_SOMETHING,
    },
    warning: short ? `The count in the file is too short: it needs ${words}.` : undefined,
  };
}

/** A time that the file itself gives and no answer speaks of. */
function waiting(step: Step, next: Step | undefined): Count | undefined {
  const time_s = written(step, next);
  if (time_s === undefined) return undefined;
  return { guide_s: time_s, from: 'The count is the one in the file.', cue: cueOf(step), overdue: 'The count is long over.' };
}

function written(step: Step, next: Step | undefined): number | undefined {
  if (step.act === 'hold' || step.act === 'wait') return step.time.value;
  return 'part' in step && next?.act === 'wait' ? next.time.value : undefined;
}

function cueOf(step: Step): string {
  if (step.act === 'turn') return 'Say “now” as you turn it';
  if (step.act === 'press' || step.act === 'hold') return 'Say “now” as you press it';
  return step.act === 'insert' || step.act === 'connect' ? 'Say “now” as it goes in' : 'Say “now” as you do it';
}

/** What the meter must show at the end of a hold: what the contact that closes next allows. */
function beforeClosing(source: CrewSource, steps: readonly Step[], k: number): Screen['shows'] {
  const next = steps.slice(k + 1).find((step) => 'part' in step);
  if (next === undefined || !('part' in next) || next.act === 'release') return [];
  const limit = sparkItem(source as PaperSource, next)?.limit;
  if (limit === undefined) return [];
  const full_V = packVoltage(source);
  const below = `at most ${valueWords(limit, 'voltage')} below the pack`;
  return [{ where: 'Meter', what: full_V === undefined ? below : `${below} (${valueWords(full_V - limit, 'voltage')} if full)` }];
}

/** Voltage of the full pack, from the curve of the answer about holding. */
function packVoltage(source: CrewSource): number | undefined {
  const plot = answerTo(source, 'hold')?.evidence.find((evidence) => evidence.type === 'plot');
  return plot?.type === 'plot' ? plot.thresholds.find(({ name, axis }) => name === 'pack' && axis === 'y')?.at : undefined;
}

/** What an ear finds as a main contact closes. */
function closing(source: CrewSource, step: Extract<Step, { readonly part: string }>): Screen['shows'] {
  const item = sparkItem(source as PaperSource, step);
  if (item?.figure === undefined || step.act === 'release' || step.act === 'open') return [];
  return [{ where: 'Sound', what: item.verdict === 'good' ? 'a tick at most' : item.verdict === 'bad' ? 'it sparks as it is built' : 'a snap' }];
}

/** After the last switch: until no bank is above what is safe to touch. */
function emptying(source: CrewSource): readonly Screen[] {
  const items = answerTo(source, 'discharge')?.items.filter(({ slip }) => !slip) ?? [];
  if (items.length === 0) return [];
  const times = items.map(({ figure }) => figure?.high);
  const longest_s = times.every((time) => time !== undefined) ? Math.max(...times) : undefined;
  return [{
    stage: 'step',
    who: 'All',
    does: 'Hands away until it is empty',
    detail: undefined,
    shows: [{ where: 'Meter', what: `below 5 V at ${items.map(({ where }) => where).join(', ')}` }],
    count: longest_s === undefined || !(longest_s > 0) ? undefined : { guide_s: longest_s, from: `Computed from the last switch: ${valueWords(longest_s, 'time')}.`, cue: 'Say “now”: the last switch is off', overdue: 'Time is long over: measure.' },
    warning: longest_s === undefined ? 'It does not empty by itself within ten minutes.' : undefined,
    otherwise: 'Still above 5 V: do not reach in. Wait, and measure again.',
    back: [],
  }];
}

/** `Check 2 of 4, no power` and `Step 3 of 9, power up` count what the printed card counts. */
export function placeWords(screens: readonly Screen[], place: number, list: Procedure): string {
  const stage = screens[place]?.stage;
  const own = screens.filter((one) => one.stage === stage);
  const before = screens.slice(0, place).filter((one) => one.stage === stage).length;
  return stage === 'check' ? `Check ${before + 1} of ${own.length}, no power` : `Step ${before + 1} of ${own.length}, ${list}`;
}

/** Whether a machine has a procedure to read out. */
export function hasSteps(machine: Machine, list: Procedure): boolean {
  return (list === 'power up' ? machine.powerUp : machine.powerDown).length > 0;
}
