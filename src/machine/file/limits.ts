/** What a file may hold. A machine of sixty parts takes 8 kB; these stop files that were made to do harm. */
export const LIMITS = {
  /** UTF-16 units of the whole text. */
  text: 256 * 1024,
  lines: 10_000,
  /** Pieces that the YAML reader takes the text apart into; some texts make it slow per piece. */
  lexemes: 60_000,
  /** Lists and mappings inside each other. */
  depth: 8,
  parts: 500,
  chains: 1000,
  steps: 200,
  /** Characters of one text or name. */
  scalar: 4000,
  name: 80,
} as const;

/** Keys that reach into the objects of a program instead of naming something. */
const REFUSED_KEYS: ReadonlySet<string> = new Set(['__proto__', 'constructor', 'prototype']);

/** Why a key may not be used, or undefined. */
export function keyTrouble(key: string): { readonly expected: string; readonly hint?: string } | undefined {
  if (REFUSED_KEYS.has(key)) return { expected: 'any other name' };
  if (key === '<<') return { expected: 'fields written out', hint: 'merge keys are not read' };
  if (key.trim() === '') return { expected: 'a name before the colon' };
  return key.length > LIMITS.name ? { expected: `a name of at most ${LIMITS.name} characters` } : undefined;
}
