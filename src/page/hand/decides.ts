import { answers } from '../store/answers.ts';

/** What is known of how much a value matters. */
export interface Decides {
  readonly words: string;
  /** Question that it moves; undefined for one that decides nothing. */
  readonly question: string | undefined;
}

/** Reads from what the answers rest on whether one of them turns on a value. Nothing is said before their spread has been run. */
export function decided(part: string, words: string): Decides | undefined {
  const label = `${words} of ${part}`;
  const named = (line: string): boolean => line.includes(label) && !new RegExp(`${escaped(label)}[\\w]`).test(line);
  const shown = [...answers.value.values()].filter(({ stage, stale }) => stage === 'spread' && !stale);
  const turning = shown.find(({ answer }) => answer.basis.some((line) => /^(Good|No worse than marginal) while /.test(line) && named(line)));
  if (turning !== undefined) return { words: `decides: ${turning.answer.question}`, question: turning.answer.id };
  const moving = shown.find(({ answer }) => answer.basis.some((line) => line.startsWith('What moves it most') && named(line)));
  if (moving !== undefined) return { words: `moves: ${moving.answer.question}`, question: moving.answer.id };
  const idle = shown.some(({ answer }) => answer.basis.some((line) => line.startsWith(`No need to measure the ${words}`) && new RegExp(`\\b${escaped(part)}\\b`).test(line)));
  return idle ? { words: 'decides nothing: no need to measure it', question: undefined } : undefined;
}

function escaped(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
}
