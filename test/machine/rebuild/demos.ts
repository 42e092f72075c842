import { readdirSync, readFileSync } from 'node:fs';
import { readMachine } from '../../../src/machine/file/read.ts';
import type { Machine } from '../../../src/machine/machine.ts';
import { rebuild, type Rebuilt } from '../../../src/machine/rebuild/rebuild.ts';
import type { Rebuild } from '../../../src/machine/rebuild/wish.ts';

const root = new URL('../../../machines/', import.meta.url);

/** All demo machines: name and text. */
export const DEMOS: readonly (readonly [name: string, text: string])[] = readdirSync(root).filter((name) => name.endsWith('.yaml')).map((name) => [name, readFileSync(new URL(name, root), 'utf8')]);

export function demoText(name: string): string {
  return readFileSync(new URL(`${name}.yaml`, root), 'utf8');
}

export function machineOf(text: string): Machine {
  const file = readMachine(text);
  if (!file.ok) throw new Error(JSON.stringify(file.issues[0]));
  return file.machine;
}

/** A change that must be made. */
export function made(text: string, wish: Rebuild): Rebuilt & { ok: true } {
  const result = rebuild(text, wish);
  if (!result.ok) throw new Error(`${JSON.stringify(wish)}: ${result.why}`);
  return result;
}

/** Why a change is not made, which it must not be. */
export function refused(text: string, wish: Rebuild): string {
  const result = rebuild(text, wish);
  if (result.ok) throw new Error(`${JSON.stringify(wish)} was made`);
  return result.why;
}

/** Lines that a change takes away and brings, in the order of the file: a longest common subsequence is what stays. */
export function difference(before: string, after: string): string[] {
  const [a, b] = [before.split('\n'), after.split('\n')];
  const longest = Array.from({ length: a.length + 1 }, () => new Int32Array(b.length + 1));
  for (let i = a.length - 1; i >= 0; i -= 1)
    for (let j = b.length - 1; j >= 0; j -= 1) longest[i]![j] = a[i] === b[j] ? longest[i + 1]![j + 1]! + 1 : Math.max(longest[i + 1]![j]!, longest[i]![j + 1]!);
  const lines: string[] = [];
  for (let i = 0, j = 0; i < a.length || j < b.length; ) {
    if (i < a.length && j < b.length && a[i] === b[j]) [i, j] = [i + 1, j + 1];
    else if (j >= b.length || (i < a.length && longest[i + 1]![j]! >= longest[i]![j + 1]!)) lines.push(`-${a[i++]!.trim()}`);
    else lines.push(`+${b[j++]!.trim()}`);
  }
  return lines;
}
