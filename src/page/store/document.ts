import { batch, computed, effect, signal } from '@preact/signals';
import type { FileEdit } from '../../machine/edit.ts';
import type { Issue } from '../../machine/file/issue.ts';
import type { Machine } from '../../machine/machine.ts';
import type { Rebuilt } from '../../machine/rebuild/rebuild.ts';
import type { Rebuild } from '../../machine/rebuild/wish.ts';
import type { Changeables } from '../../questions/states/look.ts';
import { bench } from './bench.ts';

/** A state of the file with the words for the step that led to it. */
interface Version {
  readonly text: string;
  readonly what: string;
  /** Steps with one key in a row are one step: letters typed into one field. */
  readonly key: string | undefined;
}

/** The last text that was a machine. */
export interface GoodMachine {
  readonly text: string;
  readonly machine: Machine;
  readonly changeables: Changeables;
}

/** The machine file as it stands: the truth from which everything else follows. */
export const text = signal('');
export const fileName = signal('machine.yaml');
export const issues = signal<readonly Issue[]>([]);
export const good = signal<GoodMachine | undefined>(undefined);
/** False while the file as it stands is no machine; what is shown then belongs to the last one that was. */
export const isMachine = computed(() => good.value?.text === text.value);
/** Counts the machines that were opened. */
export const opened = signal(0);
/** Text that the issues are about. */
export const readText = signal('');

const past = signal<readonly Version[]>([]);
const future = signal<readonly Version[]>([]);
let latest: Version = { text: '', what: '', key: undefined };

export const undoable = computed(() => past.value.length === 0 ? undefined : latestWhat.value);
export const redoable = computed(() => future.value.at(-1)?.what);
const latestWhat = signal('');
/** Texts before each step, the oldest first, with the step that followed. */
export const earlier = computed(() => past.value.map(({ text: before }, k) => ({ text: before, undoes: past.value[k + 1]?.what ?? latestWhat.value })));

/** Beyond this the oldest steps are let go. */
const MOST_STEPS = 500;

/** Opens another machine: there is nothing to undo in it yet. */
export function open(newText: string, name: string): void {
  batch(() => {
    past.value = [];
    future.value = [];
    latest = { text: newText, what: '', key: undefined };
    latestWhat.value = '';
    fileName.value = name;
    good.value = undefined;
    issues.value = [];
    opened.value = opened.peek() + 1;
    show(newText);
  });
}

/** A step that can be undone. */
export function change(newText: string, what: string, key?: string): void {
  if (newText === text.peek()) return;
  batch(() => {
    if (key === undefined || latest.key !== key) past.value = [...past.peek(), latest].slice(-MOST_STEPS);
    latest = { text: newText, what, key };
    latestWhat.value = what;
    future.value = [];
    show(newText);
  });
}

export function undo(): void {
  const before = past.peek().at(-1);
  if (before === undefined) return;
  batch(() => {
    past.value = past.peek().slice(0, -1);
    future.value = [...future.peek(), latest];
    goTo(before);
  });
}

export function redo(): void {
  const next = future.peek().at(-1);
  if (next === undefined) return;
  batch(() => {
    future.value = future.peek().slice(0, -1);
    past.value = [...past.peek(), latest];
    goTo(next);
  });
}

function goTo(version: Version): void {
  latest = { ...version, key: undefined };
  latestWhat.value = version.what;
  show(version.text);
}

function show(newText: string): void {
  text.value = newText;
  void read(newText);
}

/** A newer text makes the reading of an older one pointless. */
async function read(newText: string): Promise<void> {
  const file = await bench({ does: 'read', text: newText });
  if (text.peek() !== newText) return;
  batch(() => {
    readText.value = newText;
    issues.value = file.ok ? file.questions : file.issues;
    if (file.ok) good.value = { text: newText, machine: file.machine, changeables: file.changeables };
  });
}

/** What keeps an edit from being made. */
export interface Refusal {
  readonly issues: readonly Issue[];
  readonly why: string | undefined;
}

/**
 * Makes edits of the file, comments kept, where the result is a machine.
 * @returns what is wrong with it otherwise; the file then stays as it is
 */
export async function applyEdits(edits: readonly FileEdit[], what: string, key?: string): Promise<Refusal | undefined> {
  const before = text.peek();
  const edited = await bench({ does: 'edit', text: before, edits });
  if (!edited.ok) return { issues: [], why: edited.why };
  const file = await bench({ does: 'read', text: edited.text });
  if (!file.ok) return { issues: file.issues, why: undefined };
  // Somebody else was faster: their text is the one to edit.
  if (text.peek() !== before) return applyEdits(edits, what, key);
  change(edited.text, what, key);
  return undefined;
}

/** Changes what hangs on what, comments kept; the page has read the result when this is done. */
export async function applyRebuild(wish: Rebuild): Promise<Rebuilt> {
  const before = text.peek();
  const rebuilt = await bench({ does: 'rebuild', text: before, wish });
  if (!rebuilt.ok) return rebuilt;
  if (text.peek() !== before) return applyRebuild(wish);
  change(rebuilt.text, rebuilt.what);
  await whenRead();
  return rebuilt;
}

/** What a change would do, without making it. */
export function tryRebuild(wish: Rebuild): Promise<Rebuilt> {
  return bench({ does: 'rebuild', text: text.peek(), wish });
}

/** Done when the text as it stands has been read. */
async function whenRead(): Promise<void> {
  let stop = (): void => undefined;
  await new Promise<void>((done) => {
    stop = effect(() => {
      if (readText.value === text.value) done();
    });
  });
  stop();
}
