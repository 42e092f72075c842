import fc from 'fast-check';

/** Pieces of YAML, quantities and wiring that a slip or malice could put anywhere. */
export const TOKENS = [
  ':', ': ', '- ', '#', '\n', '\n  ', '{', '}', '[', ']', ',', '"', "'", '|', '>', '&a ', '*a', '!!', '%', '---\n', '\t', '? ', '<<', '~', 'null', '\u0000', '\uFFFD', '\uD83D', '\u202E',
  '__proto__', 'NaN', 'Infinity', '1e400', '-1', '0', '1e-320', '±', ' to ', ' per cell', ' AWG', 'Ω', 'mAh', '36 AWG', '8 mm²', '9999999999', 'from ', 'to ', ' out', '+', '-',
  'G1', 'T1', 'Q1', 'R1', 'LK1', 'bar', 'kind', 'pack', 'isolator', 'through ', 'open', 'direct', 'turn ', 'hold ', 'wait ', 'crew: ',
];

/** A place in a text, as a share of it. Drawn from whole numbers: `fc.double` draws bit patterns, nearly all of them next to 0. */
const somewhere = fc.nat(2 ** 30 - 1).map((n) => n / 2 ** 30);

/** One change somewhere in a text: bytes, lines, YAML tokens, values, ids. */
export const mutation = fc.record({
  how: fc.constantFrom('drop', 'insert', 'replace', 'drop line', 'double line', 'swap lines', 'number', 'id', 'byte'),
  at: somewhere,
  to: somewhere,
  token: fc.constantFrom(...TOKENS),
  length: fc.integer({ min: 1, max: 12 }),
  byte: fc.integer({ min: 0, max: 255 }),
});

/** A file that nobody wrote: lines of real ones and pieces of syntax in any order, at times beneath a proper beginning. */
export function randomFile(texts: readonly string[]): fc.Arbitrary<string> {
  const lines = texts.flatMap((text) => text.split('\n'));
  const piece = fc.oneof(fc.constantFrom(...lines).map((line) => `${line}\n`), fc.constantFrom(...TOKENS), fc.string({ maxLength: 12 }));
  return fc.tuple(fc.constantFrom('', 'ampwright: 1\nmachine: X\nparts:\n'), fc.array(piece, { maxLength: 60 })).map(([head, pieces]) => head + pieces.join(''));
}

export type Mutation = typeof mutation extends fc.Arbitrary<infer M> ? M : never;

export function mutate(text: string, { how, at, to, token, length, byte }: Mutation): string {
  const offset = Math.floor(at * text.length);
  const lines = text.split('\n');
  const [line, other] = [Math.floor(at * lines.length), Math.floor(to * lines.length)];
  const swapOut = (pattern: RegExp, replacement: string) => {
    const matches = [...text.matchAll(pattern)];
    const match = matches[Math.floor(at * matches.length)];
    return match === undefined ? text : text.slice(0, match.index) + replacement + text.slice(match.index + match[0].length);
  };
  switch (how) {
    case 'drop': return text.slice(0, offset) + text.slice(offset + length);
    case 'insert': return text.slice(0, offset) + token + text.slice(offset);
    case 'replace': return text.slice(0, offset) + token + text.slice(offset + length);
    case 'drop line': return lines.toSpliced(line, 1).join('\n');
    case 'double line': return lines.toSpliced(other, 0, lines[line] ?? '').join('\n');
    case 'swap lines': return lines.with(line, lines[other] ?? '').with(other, lines[line] ?? '').join('\n');
    case 'number': return swapOut(/\d+(?:\.\d+)?/g, token);
    case 'id': return swapOut(/\b[A-Z]{1,2}\d\b/g, token);
    case 'byte': {
      const bytes = new TextEncoder().encode(text);
      bytes[Math.floor(at * bytes.length)] = byte;
      return new TextDecoder().decode(bytes);
    }
  }
}
