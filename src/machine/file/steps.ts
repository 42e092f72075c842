import { quoted } from '../../quantity/scan.ts';
import type { Position } from '../field.ts';
import type { Step } from '../machine.ts';
import type { Issues, Place } from './issue.ts';
import { LIMITS } from './limits.ts';
import { isPositions, ON_OFF, whichPart, type KnownPart } from './part-list.ts';
import { checkOrder, type PlacedStep } from './step-order.ts';
import { describe, type Tree } from './tree.ts';
import { didYouMean, oneOf, quantityIn, type QuantityRule } from './values.ts';

/** Which kinds a verb fits. */
const VERBS = {
  turn: ['isolator'],
  close: ['isolator', 'contactor', 'solid-state switch'], open: ['isolator', 'contactor', 'solid-state switch'],
  press: ['button'], release: ['button'], hold: ['button'],
  insert: ['link'], remove: ['link'],
  connect: ['connector'], disconnect: ['connector'],
} as const;

type Verb = keyof typeof VERBS;

/** Verbs that are followed by a part and nothing else. */
type PlainVerb = Exclude<Verb, 'turn' | 'hold'>;

const WORDS = [...Object.keys(VERBS), 'wait', 'crew'];

const TIME: QuantityRule = { dimension: 'time', atLeast: 0, atMost: 3600, likely: [0.01, 600], example: '2 s' };

/** Reads the steps of a procedure: `turn Q1 to CHARGE`, `wait 2 s`, `crew: transmitter on`. */
export function readSteps(tree: Tree | undefined, section: string, known: ReadonlyMap<string, KnownPart>, issues: Issues): Step[] {
  if (tree === undefined) return [];
  if (tree.type !== 'list') {
    issues.error(tree.at, { field: section }, 'a list of steps, each on a line that starts with "- "', describe(tree));
    return [];
  }
  if (tree.items.length > LIMITS.steps) {
    issues.error(tree.at, { field: section }, `at most ${LIMITS.steps} steps`, `${tree.items.length}`);
    return [];
  }
  const steps = tree.items.flatMap((item, k): PlacedStep[] => {
    const about = { field: `${section}.${k + 1}` };
    const step = readStep(item, about, known, issues);
    return step === undefined ? [] : [{ step, about, at: item.type === 'text' ? item.textAt : item.at }];
  });
  checkOrder(steps, section === 'procedure', issues);
  return steps.map(({ step }) => step);
}

interface Context {
  readonly text: string;
  readonly at: Place;
  readonly about: { readonly field: string };
  readonly known: ReadonlyMap<string, KnownPart>;
  readonly issues: Issues;
}

function readStep(tree: Tree, about: { readonly field: string }, known: ReadonlyMap<string, KnownPart>, issues: Issues): Step | undefined {
  if (tree.type === 'map') {
    const [entry] = tree.entries;
    if (tree.entries.length === 1 && entry?.key === 'crew' && entry.value.type === 'text' && entry.value.text.trim() !== '') {
      return { act: 'crew', text: entry.value.text.trim(), line: tree.at.line };
    }
    const written = entry?.value.type === 'text' ? `${entry.key} ${entry.value.text}`.trim() : undefined;
    issues.error(tree.at, about, 'a step like "turn Q1 to ON", or "crew: …" for what is done by hand', entry === undefined ? 'a mapping' : quoted(`${entry.key}:`),
      written === undefined || didYouMean(entry?.key ?? '', WORDS) === undefined ? undefined : `without the colon: ${quoted(written)}`);
    return undefined;
  }
  const text = tree.type === 'text' ? tree.text.trim().replace(/\s+/g, ' ') : '';
  const [verb = ''] = text.split(' ');
  const at = tree.type === 'text' ? tree.textAt : tree.at;
  const context = { text, at, about, known, issues };
  const by = /^crew: (.+)$/.exec(text)?.[1];
  if (by !== undefined) return { act: 'crew', text: by, line: at.line };
  if (verb === 'wait') return readWait(context);
  if (verb === 'turn') return readTurn(context);
  if (verb === 'hold') return readHold(context);
  if (isPlainVerb(verb)) return readPlain(verb, context);
  issues.error(at, about, `a step that starts with ${oneOf(WORDS)}`, text === '' ? describe(tree) : quoted(text), didYouMean(verb, WORDS));
  return undefined;
}

function isPlainVerb(word: string): word is PlainVerb {
  return word !== 'turn' && word !== 'hold' && Object.hasOwn(VERBS, word);
}

function readWait({ text, at, about, issues }: Context): Step | undefined {
  const time = quantityIn(text.slice('wait'.length).trim(), at, TIME, about, issues);
  return time === undefined ? undefined : { act: 'wait', time, text, line: at.line };
}

function readHold(context: Context): Step | undefined {
  const { text, at, about, issues } = context;
  const [, id, written] = /^hold (\S+) for (.+)$/.exec(text) ?? [];
  if (id === undefined || written === undefined) {
    issues.error(at, about, 'a step like "hold S1 for 2 s"', quoted(text));
    return undefined;
  }
  const part = partFor('hold', id, context);
  const time = quantityIn(written, at, TIME, about, issues);
  return part === undefined || time === undefined ? undefined : { act: 'hold', part: id, time, text, line: at.line };
}

function readTurn(context: Context): Step | undefined {
  const { text, at, about, issues } = context;
  const [, id, position] = /^turn (\S+) to (.+)$/.exec(text) ?? [];
  if (id === undefined || position === undefined) {
    issues.error(at, about, 'a step like "turn Q1 to ON"', quoted(text));
    return undefined;
  }
  const part = partFor('turn', id, context);
  if (part === undefined) return undefined;
  const names = [...positionsOf(part).keys()];
  if (names.includes(position)) return { act: 'turn', part: id, position, text, line: at.line };
  issues.error(at, about, `a position of ${id}: ${oneOf(names)}`, quoted(position), didYouMean(position, names));
  return undefined;
}

function readPlain(verb: PlainVerb, context: Context): Step | undefined {
  const { text, at, about, issues } = context;
  const id = text.slice(verb.length).trim();
  const part = partFor(verb, id, context);
  if (part === undefined) return undefined;
  if (verb === 'close' && [...positionsOf(part).values()].filter(({ path }) => path !== 'open').length > 1) {
    issues.error(at, about, `the position that ${id} is turned to`, quoted(text), `write "turn ${id} to …": it has ${[...positionsOf(part).keys()].map((name) => quoted(name)).join(', ')}`);
    return undefined;
  }
  return { act: verb, part: id, text, line: at.line };
}

function partFor(verb: Verb, id: string, { at, about, known, issues }: Context): KnownPart | undefined {
  const kinds: readonly string[] = VERBS[verb];
  const fitting = [...known.values()].filter(({ kind }) => kind !== undefined && kinds.includes(kind.kind)).map((part) => part.id);
  const part = known.get(id);
  if (part === undefined) {
    issues.error(at, about, `the id of a part to ${verb}`, id === '' ? 'none' : quoted(id), whichPart(id, fitting));
    return undefined;
  }
  const { kind } = part;
  if (kind === undefined || kinds.includes(kind.kind)) return part;
  const own = Object.entries(VERBS).filter(([, of]) => of.some((one) => one === kind.kind)).map(([word]) => word);
  issues.error(at, about, `a part to ${verb}`, `${id}, which is ${kind.name}`, own.length === 0 ? undefined : `the words for it are ${oneOf(own)}`);
  return undefined;
}

function positionsOf({ values }: KnownPart): ReadonlyMap<string, Position> {
  const written = values.get('positions')?.value;
  return isPositions(written) ? written : ON_OFF;
}
