import { closeSync, openSync, readSync } from 'node:fs';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';

const LARGEST_bytes = 1_000_000;

const CAUSES: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EISDIR: 'this is a directory, not a machine file',
  ENOTDIR: 'a part of the path is not a directory',
  EACCES: 'no permission to read it',
  EPERM: 'no permission to read it',
  ELOOP: 'its links lead in a circle',
  ENAMETOOLONG: 'the name is too long',
};

/**
 * The text of a machine file.
 * @throws Mistake when the file is missing, a directory, unreadable, larger than 1 MB or not UTF-8
 */
export function readSource(path: string): string {
  const bytes = readAtMost(path, LARGEST_bytes + 1);
  const name = printable(path);
  if (bytes.length > LARGEST_bytes) throw new Mistake(`${name}: expected a machine file of at most 1 MB, found a larger one`, EXIT.file);
  const offset = firstInvalidByte(bytes);
  if (offset !== undefined) {
    const found = `0x${(bytes[offset] ?? 0).toString(16).padStart(2, '0')}`;
    throw new Mistake(`${name}: expected UTF-8 text, found the byte ${found} at offset ${offset}${encodingHint(bytes)}`, EXIT.file);
  }
  return new TextDecoder().decode(bytes);
}

/**
 * Offset of the first byte that cannot belong to well-formed UTF-8; undefined when all can.
 * @see The Unicode Standard, Table 3-7, Well-Formed UTF-8 Byte Sequences
 */
export function firstInvalidByte(bytes: Uint8Array): number | undefined {
  let at = 0;
  while (at < bytes.length) {
    const lead = bytes[at] ?? 0;
    const length = lead < 0x80 ? 1 : lead >= 0xc2 && lead < 0xe0 ? 2 : lead >= 0xe0 && lead < 0xf0 ? 3 : lead >= 0xf0 && lead < 0xf5 ? 4 : 0;
    if (length === 0) return at;
    for (let follow = 1; follow < length; follow += 1) {
      const byte = bytes[at + follow] ?? 0;
      // The second byte excludes overlong forms, surrogates and code points above U+10FFFF.
      const low = follow > 1 ? 0x80 : lead === 0xe0 ? 0xa0 : lead === 0xf0 ? 0x90 : 0x80;
      const high = follow > 1 ? 0xbf : lead === 0xed ? 0x9f : lead === 0xf4 ? 0x8f : 0xbf;
      if (byte < low || byte > high) return at;
    }
    at += length;
  }
  return undefined;
}

/** Reads by pieces, so that a device without end does not fill the memory. */
function readAtMost(path: string, most: number): Uint8Array {
  const buffer = new Uint8Array(most);
  let length = 0;
  let file: number | undefined;
  try {
    file = openSync(path, 'r');
    while (length < most) {
      const count = readSync(file, buffer, length, most - length, null);
      if (count === 0) break;
      length += count;
    }
  } catch (error) {
    throw new Mistake(`${printable(path)}: ${causeOf(error)}`, EXIT.file);
  } finally {
    if (file !== undefined) closeSync(file);
  }
  return buffer.subarray(0, length);
}

/** What went wrong with a file, in words. */
export function causeOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : 'unknown cause';
  return CAUSES[code] ?? `it cannot be opened (${code})`;
}

function encodingHint(bytes: Uint8Array): string {
  const [first, second] = bytes;
  const utf16 = (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff);
  return utf16 ? '; it looks like UTF-16: save it as UTF-8' : '; save it as UTF-8';
}
