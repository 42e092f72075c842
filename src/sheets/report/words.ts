import type { FileEdit } from '../../machine/edit.ts';
import { formatValue } from '../../quantity/format.ts';
import type { Dimension } from '../../quantity/quantity.ts';
import type { Answer, Figure, Item, Verdict } from '../../questions/answer.ts';

/** Verdicts in the order of concern: what a reader should see first. */
export const VERDICTS: readonly Verdict[] = ['bad', 'marginal', 'cannot tell', 'good'];

/** What a figure and its limit need to be put in words; answers and items both have it. */
export type Judged = Pick<Item, 'figure' | 'limit' | 'margin'>;

/** The answers, worst first; equals stay in their order. */
export function byConcern(answers: readonly Answer[]): readonly Answer[] {
  return VERDICTS.flatMap((verdict) => answers.filter((answer) => answer.verdict === verdict));
}

/** How many answers have this verdict. */
export function countOf(answers: readonly Answer[], verdict: Verdict): number {
  return answers.filter((answer) => answer.verdict === verdict).length;
}

/** One sentence over all answers, for the top of the page. */
export function headline(answers: readonly Answer[]): string {
  if (answers.length === 0) return 'No question was asked.';
  const bad = countOf(answers, 'bad');
  const untold = countOf(answers, 'cannot tell');
  const marginal = countOf(answers, 'marginal');
  const total = answers.length === 1 ? 'the one answer' : `${answers.length} answers`;
  if (bad > 0) return answers.length === 1 ? 'Not ready: the one answer is bad.' : `Not ready: ${bad} of ${total} ${isOrAre(bad)} bad.`;
  if (untold > 0) return `Not known yet: ${answers.length === 1 ? total : `${untold} of ${total}`} cannot be told.`;
  if (marginal > 0) return `Nothing bad; ${answers.length === 1 ? total : `${marginal} of ${total}`} ${isOrAre(marginal)} marginal.`;
  return answers.length === 1 ? 'The one answer is good.' : `All ${total} are good.`;
}

/** The item that the answer repeats on top, or undefined when none has the same figure. */
export function decidingItem(answer: Answer): Item | undefined {
  const { figure } = answer;
  if (figure === undefined) return undefined;
  const same = (item: Item): boolean => item.figure?.value === figure.value && item.figure.dimension === figure.dimension && item.limit === answer.limit;
  return answer.items.find((item) => same(item) && !item.slip) ?? answer.items.find(same);
}

/** A value as a meter would show it; says in words what has no number. */
export function valueWords(value: number, dimension: Dimension): string {
  if (Number.isNaN(value)) return 'not known';
  return Number.isFinite(value) ? formatValue(value, dimension) : 'without end';
}

/** The ends of a figure's spread, `33.1 to 35.2 V`; empty when it has none, or none that three digits show. */
export function spreadWords({ low, high, dimension }: Figure): string {
  const [from, to] = [valueWords(low, dimension), valueWords(high, dimension)];
  if (from === to) return '';
  const unit = / \S+$/.exec(to)?.[0];
  return `${unit !== undefined && from.endsWith(unit) ? from.slice(0, -unit.length) : from} to ${to}`;
}

/** The limit and its side: `at most 4 V`, `at least 0.8 s`; undefined when there is none. */
export function limitWords({ figure, limit, margin }: Judged): string | undefined {
  if (figure === undefined || limit === undefined) return undefined;
  const words = valueWords(limit, figure.dimension);
  const side = Math.sign(limit - figure.value) * Math.sign(margin ?? 0);
  if (side > 0) return `at most ${words}`;
  return side < 0 ? `at least ${words}` : `limit ${words}`;
}

/** `34 V across the contact as it closes, at most 4 V` for the line of a closed answer; what is missing when there is no figure. */
export function decidingWords(answer: Answer): { readonly where: string | undefined; readonly figure: string; readonly rest: string } {
  const item = decidingItem(answer);
  if (answer.refused !== undefined) return { where: undefined, figure: 'refused', rest: `: ${answer.refused}` };
  if (answer.figure === undefined) {
    if (answer.needs.length > 0) return { where: undefined, figure: 'needs', rest: ` ${answer.needs.join('; ')}` };
    return { where: undefined, figure: '', rest: answer.says };
  }
  const limit = limitWords(answer);
  const measure = item === undefined ? '' : ` ${item.measure}`;
  return {
    where: item?.where,
    figure: valueWords(answer.figure.value, answer.figure.dimension),
    rest: `${measure}${limit === undefined ? '' : `, ${limit}`}`,
  };
}

/** Share of the spread that passes, as a whole percentage that says 0 % and 100 % only when it is meant. */
export function passesWords(passes: number | undefined): string {
  if (passes === undefined || !Number.isFinite(passes)) return '';
  const percent = passes * 100;
  if (percent > 0 && percent < 1) return 'under 1 %';
  if (percent > 99 && percent < 100) return 'over 99 %';
  return `${Math.round(percent)} %`;
}

/**
 * The share in a sentence: `Passes in 70 % of 200 spread samples.` Where it is marginal as it stands and passes nowhere,
 * that 0 % would read as a contradiction.
 */
export function shareSentence({ verdict, passes }: Pick<Item, 'verdict' | 'passes'>, samples: number): string {
  const share = passesWords(passes);
  if (share === '') return '';
  if (verdict === 'marginal' && passes === 0) return `Good in none of ${samples} spread samples: marginal is the best that it gets without a change.`;
  return `Passes in ${share} of ${samples} spread samples.`;
}

/** The share in a table: as a percentage, or in words where 0 % stands beside a marginal verdict. */
export function shareCell({ verdict, passes }: Pick<Item, 'verdict' | 'passes'>): string {
  return verdict === 'marginal' && passes === 0 ? 'marginal at best' : passesWords(passes);
}

/** Where in the file, and what to write there: `parts, R1, resistance: 10 Ω`. */
export function editWords({ path, text }: FileEdit): string {
  return `${path.map((key) => (typeof key === 'number' ? `entry ${key + 1}` : key)).join(', ')}: ${text === '' ? 'taken out' : text}`;
}

/** A heading begins with a capital. */
export function capital(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}`;
}

/** What is typed at a prompt stands between quotes on paper. */
export function quoted(text: string): string {
  return text.replace(/`([^`]*)`/g, '\u201C$1\u201D');
}

/** Text in which no line breaks between a number and its unit: the space between them becomes one that does not break. */
export function joinUnits(text: string): string {
  return text.replace(/(\d) (?=(?:[pnµmkMG]?(?:V|A|Ω|F|H|W|J|s|C|Ah|Hz|m|mm²|N·m|A²s)|%|°C|K|kg|AWG)(?![\p{L}\p{N}]))/gu, '$1\u00A0');
}

function isOrAre(count: number): string {
  return count === 1 ? 'is' : 'are';
}
