import { closeSync, openSync, readSync } from 'node:fs';
import { machineInside } from '../sheets/share/share-page.ts';
import { EXIT, Mistake } from './exit.ts';
import { printable } from './layout.ts';

const LARGEST_bytes = 1_000_000;
/** A share page holds its papers and drawing too. */
const LARGEST_PAGE_bytes = 40_000_000;

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
 * The text of a machine file, or of the one inside a share page.
 * @throws Mistake when the file is missing, a directory, unreadable, too large, not UTF-8, or a page without a machine
 */
export function readSource(path: string): string {
  return machineText(path) ?? readText(path, LARGEST_bytes, 'a machine file of at most 1 MB');
}

/**
 * The machine file inside a share page, byte for byte; undefined for a file that is no web page.
 * @throws Mistake when the page cannot be read, or holds no machine
 */
export function machineText(path: string): string | undefined {
  if (!isPage(path)) return undefined;
  const text = machineInside(readText(path, LARGEST_PAGE_bytes, 'a share page of at most 40 MB'));
  if (text === undefined) throw new Mistake(`${printable(path)}: expected a machine file or a share page of \`ampwright papers\`, found a web page without a machine in it`, EXIT.file);
  return text;
}

/** Whether a file begins as a web page does; machine files are YAML and cannot. */
export function isPage(path: string): boolean {
  return /^(?:\uFEFF)?\s*<!doctype html/i.test(new TextDecoder().decode(readAtMost(path, PAGE_START_bytes)));
}

const PAGE_START_bytes = 200;

function readText(path: string, most: number, expected: string): string {
  const bytes = readAtMost(path, most + 1);
  const name = printable(path);
  if (bytes.length > most) throw new Mistake(`${name}: expected ${expected}, found a larger one`, EXIT.file);
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
  let buffer = new Uint8Array(Math.min(most, PIECE_bytes));
  let length = 0;
  let file: number | undefined;
  try {
    file = openSync(path, 'r');
    while (length < most) {
      if (length === buffer.length) buffer = extended(buffer, Math.min(most, 2 * length));
      const count = readSync(file, buffer, length, buffer.length - length, null);
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

const PIECE_bytes = 65_536;

function extended(buffer: Uint8Array<ArrayBuffer>, length: number): Uint8Array<ArrayBuffer> {
  const longer = new Uint8Array(length);
  longer.set(buffer);
  return longer;
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
