import type { Machine } from '../machine/machine.ts';
import type { RuleSet } from '../machine/rules/rule-set.ts';
import type { Answer } from '../questions/answer.ts';
import type { Stamp } from './document/document.ts';
import type { Sheet } from './drawing/shapes.ts';

/** What papers are made from. */
export interface PaperSource {
  readonly machine: Machine;
  /** The machine file's text, as it is. */
  readonly text: string;
  readonly stamp: Stamp;
  readonly seed: number;
  readonly samples: number;
  /** Of one run over the whole machine; a paper leaves out what was not asked. */
  readonly answers: readonly Answer[];
  /** The event's rules, or the set that is shipped. */
  readonly rules: RuleSet;
  /** Pages of the drawing; none where it was not made. */
  readonly sheets: readonly Sheet[];
}

/** The answer to a question, where it was asked. */
export function answerTo({ answers }: Pick<PaperSource, 'answers'>, id: string): Answer | undefined {
  return answers.find((answer) => answer.id === id);
}

/** A part as a person calls it: the first words of its `about` with its id, `drive isolator Q1`, as in the answers. */
export function calledPart(machine: Machine, id: string): string {
  const words = machine.parts.get(id)?.about?.split(/[,;:(]/)[0]?.trim() ?? '';
  return words === '' || words.length > 40 ? id : `${words} ${id}`;
}
