import { computed, signal } from '@preact/signals';
import { home, openAsNew } from '../store/session.ts';
import { go } from '../store/view.ts';
import { factsOf, machineOf, readCapacity, readCells, readDrives, readFuse, readName, readRating, type Typed } from './facts.ts';
import { PRESETS } from './presets.ts';

/** The questions of the first minute, each a screen. */
export const SCREENS = ['kind', 'pack', 'moves', 'switches', 'done'] as const;

const FIRST = PRESETS[3]!;

export const typed = signal<Typed>({ name: 'ROBOT', ...FIRST.usual });
export const preset = signal<string | undefined>(undefined);
/** Number of the screen. */
export const at = signal(0);

export const facts = computed(() => factsOf(typed.value));
/** The machine as far as it has been answered; what is not yet is as usual. */
export const made = computed(() => (facts.value === undefined ? undefined : machineOf(facts.value)));

/** Whether a screen's own answers can be read. */
export function isAnswered(screen: number): boolean {
  const now = typed.value;
  switch (SCREENS[screen]) {
    case 'kind':
      return readName(now.name).ok;
    case 'pack':
      return readCells(now.cells).ok && readCapacity(now.capacity).ok;
    case 'moves':
      return readDrives(now.drives).ok && readRating(now.rating).ok && (!now.hasWeapon || readRating(now.weapon).ok);
    case 'switches':
      return readFuse(now.fuse).ok;
    default:
      return facts.value !== undefined;
  }
}

export function say(change: Partial<Typed>): void {
  typed.value = { ...typed.peek(), ...change };
}

/** What such a machine usually has; the name stays. */
export function choose(id: string): void {
  const found = PRESETS.find((one) => one.id === id);
  if (found === undefined) return;
  preset.value = id;
  say(found.usual);
}

export function goTo(screen: number): void {
  at.value = Math.max(0, Math.min(SCREENS.length - 1, screen));
}

/** Opens the machine; the next walk begins at the beginning, with the answers of this one. */
export function finish(): void {
  const machine = made.peek();
  if (machine === undefined) return;
  openAsNew(machine.text, machine.fileName);
  at.value = 0;
  go('questions');
}

/** Where the new machine will be kept, when that is not obvious. */
export const keptElsewhere = computed(() => (home.value?.kind === 'disk' ? home.value.name : undefined));
