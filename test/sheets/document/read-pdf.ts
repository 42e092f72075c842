import { inflateSync } from 'node:zlib';

/** What a reader of a PDF finds: its objects as text, streams inflated. Reads what one library writes, not any PDF. */
export interface ReadPdf {
  /** Everything outside streams. */
  readonly body: string;
  readonly streams: readonly string[];
  readonly pages: number;
  /** Text strings of the document in their order, UTF-16 ones read. */
  readonly strings: readonly string[];
  /** Code points that the fonts' tables say a reader may copy. */
  readonly characters: ReadonlySet<number>;
}

/** @see ISO 32000-1:2008, 7.3.8 (streams), 7.9.2.2 (text strings), 9.10.3 (ToUnicode) */
export function readPdf(bytes: Uint8Array): ReadPdf {
  const whole = Buffer.from(bytes).toString('latin1');
  const streams: string[] = [];
  const body = whole.replace(/stream\r?\n([\s\S]*?)\r?\nendstream/g, (_, inside: string) => {
    try {
      streams.push(inflateSync(Buffer.from(inside, 'latin1')).toString('latin1'));
    } catch {
      streams.push(inside);
    }
    return 'stream endstream';
  });
  const strings = [...body.matchAll(/\((?:\\[\s\S]|[^\\()])*\)/g)].map(([text]) => textOf(text.slice(1, -1)));
  const maps = streams.filter((stream) => stream.includes('beginbfrange') || stream.includes('beginbfchar'));
  const characters = new Set(maps.flatMap((map) => [...map.matchAll(/\[([^\]]*)\]/g)].flatMap(([, list = '']) => [...list.matchAll(/<([0-9a-fA-F]{4})>/g)].map(([, hex = '']) => parseInt(hex, 16)))));
  return { body, streams, strings, characters, pages: (body.match(/\/Type \/Page\b(?!s)/g) ?? []).length };
}

function textOf(escaped: string): string {
  const raw = escaped.replace(/\\([\s\S])/g, (_, char: string) => ({ n: '\n', r: '\r', t: '\t', b: '\b', f: '\f' })[char] ?? char);
  if (!raw.startsWith('\u00FE\u00FF')) return raw;
  const bytes = Buffer.from(raw.slice(2), 'latin1');
  return bytes.subarray(0, bytes.length - (bytes.length % 2)).swap16().toString('utf16le');
}
