import { kindOf, type Part } from '../../machine/parts.ts';
import { wordsOf, type Position } from '../../machine/field.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Block, Paper } from '../document/document.ts';
import { stampWords } from '../document/document.ts';
import { decidingWords } from '../report/words.ts';
import { answerTo, type PaperSource } from '../source.ts';
import { wiresOf } from '../wires.ts';
import { gaugeOf } from '../wire-words.ts';

/** What differs between two versions of a machine: parts, wires, steps, and what it does to the answers. */
export function comparison(before: PaperSource, after: PaperSource): Paper {
  return {
    title: 'What has changed',
    stamp: after.stamp,
    layout: 'wide',
    lead: `Before: ${before.stamp.machine}, ${stampWords(before.stamp)}. Now: ${after.stamp.machine}, ${stampWords(after.stamp)}.`,
    blocks: [answersTable(before, after), ...differences('Parts', partLines(before.machine), partLines(after.machine)), ...differences('Wires', wireLines(before.machine), wireLines(after.machine)), ...steps(before.machine, after.machine)],
  };
}

function answersTable(before: PaperSource, after: PaperSource): Block {
  const ids = [...new Set([...before.answers, ...after.answers].map(({ id }) => id))];
  const words = (source: PaperSource, id: string): readonly [string, string] => {
    const answer = answerTo(source, id);
    if (answer === undefined) return ['not asked', ''];
    const { where, figure, rest } = decidingWords(answer);
    return [answer.verdict, `${where === undefined ? '' : `${where}: `}${figure}${rest}`];
  };
  return {
    type: 'table', title: 'Answers',
    columns: [{ name: 'Question' }, { name: 'Before' }, { name: 'What decided' }, { name: 'Now' }, { name: 'What decides' }, { name: 'Changed' }],
    rows: ids.map((id) => {
      const [was, is] = [words(before, id), words(after, id)];
      return [(answerTo(after, id) ?? answerTo(before, id))?.question ?? id, ...was, ...is, was.join() === is.join() ? 'no' : 'yes'];
    }),
  };
}

function differences(title: string, before: ReadonlyMap<string, string>, after: ReadonlyMap<string, string>): Block[] {
  const rows = [...new Set([...before.keys(), ...after.keys()])].flatMap((key) => {
    const [was = 'not there', is = 'not there'] = [before.get(key), after.get(key)];
    return was === is ? [] : [[key, was, is]];
  });
  if (rows.length === 0) return [{ type: 'paragraph', text: `${title}: no difference.` }];
  return [{ type: 'table', title, columns: [{ name: 'Which' }, { name: 'Before' }, { name: 'Now' }], rows }];
}

function partLines(machine: Machine): ReadonlyMap<string, string> {
  return new Map([...machine.parts.values()].flatMap((part) => [[part.id, part.kind] as const, ...valuesOf(part)]));
}

function valuesOf(part: Part): (readonly [string, string])[] {
  const fields = kindOf(part.kind)?.fields ?? {};
  return Object.entries(part.values as Readonly<Record<string, unknown>>).flatMap(([property, value]) => {
    const text = fields[property] === undefined ? undefined : textOf(value);
    return text === undefined ? [] : [[`${part.id}, ${wordsOf(property)}`, text] as const];
  });
}

function textOf(value: unknown): string | undefined {
  if (typeof value === 'string' || typeof value === 'boolean') return String(value);
  if (value instanceof Map) return [...(value as ReadonlyMap<string, Position>)].map(([name, position]) => `${name}: ${position.path}${position.path === 'through' ? ` ${position.part}` : ''}`).join(', ');
  return typeof value === 'object' && value !== null && 'text' in value && typeof value.text === 'string' ? value.text : undefined;
}

function wireLines(machine: Machine): ReadonlyMap<string, string> {
  return new Map(wiresOf(machine).wires.map(({ branch, from, to, conductor }) => [`${branch}: ${from} to ${to}`, `${conductor.section.text.includes('AWG') ? '' : `${gaugeOf(conductor.section.value)} `}${conductor.section.text}, ${conductor.length.text}`.trim()]));
}

function steps(before: Machine, after: Machine): Block[] {
  const words = ({ powerUp, powerDown }: Machine): string[] => [...powerUp, ...powerDown].map(({ text }) => text);
  const [was, is] = [words(before), words(after)];
  if (was.join('\n') === is.join('\n')) return [{ type: 'paragraph', text: 'Procedure: no difference.' }];
  const rows = Array.from({ length: Math.max(was.length, is.length) }, (_, k) => [String(k + 1), was[k] ?? '', is[k] ?? '']);
  return [{ type: 'table', title: 'Procedure', columns: [{ name: 'Step' }, { name: 'Before' }, { name: 'Now' }], rows }];
}
