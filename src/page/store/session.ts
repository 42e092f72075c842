import { effect, signal } from '@preact/signals';
import { BoundFile, tokenOf, type DiskFile } from './bound-file.ts';
import { change, fileName, good, isMachine, open, text } from './document.ts';
import { DEMOS, demoText } from './demos.ts';
import { mergeTexts } from './merge.ts';
import { currentId, keepMachine, keptMachine, setCurrentId } from './shelf.ts';

/** Where the machine is kept. */
export type Home = { readonly kind: 'browser'; readonly id: string } | { readonly kind: 'disk'; readonly name: string };

export const home = signal<Home | undefined>(undefined);
export const saving = signal<'saved' | 'not saved yet' | { readonly trouble: string }>('saved');
/** A change on disk that touches the same lines as the page's own. */
export const conflict = signal<DiskFile | undefined>(undefined);
/** What happened to the file meanwhile, to be told once. */
export const notice = signal<string | undefined>(undefined);
/** Nobody has been here before: what is shown is a demo. */
export const firstVisit = signal(false);
export const startFault = signal<string | undefined>(undefined);

const SAVE_AFTER_MS = 300;
const TRY_AGAIN_MS = 2000;

let disk: BoundFile | undefined;
/** The file on disk as it was last read or written. */
let base: DiskFile | undefined;
let timer: ReturnType<typeof setTimeout> | undefined;
let writing: Promise<void> | undefined;

/** Opens the bound file, the machine that was open last, or the demo. */
export async function start(): Promise<void> {
  const token = tokenOf(location.href);
  try {
    if (token === undefined) await openLast();
    else await openBound(new BoundFile(token));
  } catch (error) {
    startFault.value = error instanceof Error ? error.message : String(error);
  }
  effect(() => {
    if (home.value === undefined || text.value === lastSaved) return;
    saving.value = 'not saved yet';
    clearTimeout(timer);
    // What is half typed is not written over a file on disk; the browser keeps everything.
    if (home.value.kind === 'browser' || isMachine.value) timer = setTimeout(() => void save(), SAVE_AFTER_MS);
  });
}

let lastSaved = '';

async function openLast(): Promise<void> {
  const id = currentId();
  const kept = id === undefined ? undefined : await keptMachine(id).catch(() => undefined);
  if (kept !== undefined) {
    lastSaved = kept.text;
    home.value = { kind: 'browser', id: kept.id };
    open(kept.text, kept.fileName);
    return;
  }
  const [demo] = DEMOS;
  if (demo === undefined) return;
  openAsNew(await demoText(demo), demo);
  firstVisit.value = id === undefined;
}

/** Another machine in the browser's storage, under an id of its own. */
export function openAsNew(newText: string, name: string): void {
  const id = crypto.randomUUID();
  firstVisit.value = false;
  lastSaved = '';
  setCurrentId(id);
  home.value = { kind: 'browser', id };
  open(newText, name);
}

export async function openKept(id: string): Promise<void> {
  const kept = await keptMachine(id);
  if (kept === undefined) return;
  firstVisit.value = false;
  lastSaved = kept.text;
  setCurrentId(id);
  home.value = { kind: 'browser', id };
  open(kept.text, kept.fileName);
}

/** Writes the text where it is kept, now. */
export async function save(): Promise<void> {
  clearTimeout(timer);
  await writing;
  writing = write();
  await writing;
}

async function write(): Promise<void> {
  const now = text.peek();
  const where = home.peek();
  if (where === undefined || now === lastSaved) return;
  try {
    if (where.kind === 'disk') await writeDisk(now);
    else {
      await keepMachine({ id: where.id, name: good.peek()?.machine.name ?? fileName.peek(), fileName: fileName.peek(), text: now, changed: new Date().toISOString() });
      lastSaved = now;
      saving.value = text.peek() === now ? 'saved' : 'not saved yet';
    }
  } catch (error) {
    saving.value = { trouble: error instanceof Error ? error.message : String(error) };
  }
}

async function openBound(file: BoundFile): Promise<void> {
  disk = file;
  base = await file.read();
  lastSaved = base.text;
  home.value = { kind: 'disk', name: base.name };
  open(base.text, base.name);
  void follow(file);
}

/** A server that was stopped may come back. */
async function follow(file: BoundFile): Promise<void> {
  for (;;) {
    try {
      await file.follow(() => void file.read().then(takeFromDisk));
    } catch {
      // Told below, in one place.
    }
    notice.value = 'The program that holds the file does not answer. What you change stays here until it does.';
    await new Promise((goOn) => setTimeout(goOn, TRY_AGAIN_MS));
    try {
      takeFromDisk(await file.read());
      notice.value = undefined;
    } catch {
      continue;
    }
  }
}

async function writeDisk(now: string): Promise<void> {
  if (disk === undefined || base === undefined || conflict.peek() !== undefined) return;
  const result = await disk.write(now, base.version);
  if (result.outcome === 'refused') {
    saving.value = { trouble: result.why };
    return;
  }
  if (result.outcome === 'changed meanwhile') {
    takeFromDisk(result.file);
    return;
  }
  base = { ...base, text: now, version: result.version };
  lastSaved = now;
  saving.value = text.peek() === now ? 'saved' : 'not saved yet';
}

/** Joins a change on disk with what has been changed here; asks where both touch the same lines. */
function takeFromDisk(file: DiskFile): void {
  if (base === undefined || file.version === base.version) return;
  const own = text.peek();
  const merged = mergeTexts(base.text, own, file.text);
  if (!merged.clean) {
    conflict.value = file;
    return;
  }
  conflict.value = undefined;
  base = file;
  lastSaved = file.text;
  if (merged.text !== own) {
    change(merged.text, `the change of ${file.name} on disk`);
    notice.value = own === merged.text ? undefined : `${file.name} was changed on disk: the change is shown here.`;
  }
  if (merged.text === file.text) saving.value = 'saved';
  else void save();
}

/** Settles a conflict. Both versions stay in the history, so that neither is lost. */
export function settle(which: 'mine' | 'theirs'): void {
  const file = conflict.peek();
  if (file === undefined) return;
  const own = text.peek();
  conflict.value = undefined;
  base = file;
  lastSaved = file.text;
  change(file.text, `the version of ${file.name} on disk`);
  if (which === 'mine') change(own, 'the version of this page, kept');
}
