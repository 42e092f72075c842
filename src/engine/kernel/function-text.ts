/** Statements of a function, cut into pieces short enough to be optimised. */
export type Pieces = readonly (readonly string[])[];

/** An engine never optimises a function that is too long. */
export const STATEMENTS_PER_FUNCTION = 600;

export function inPieces(lines: readonly string[]): Pieces {
  const pieces: string[][] = [];
  for (let k = 0; k < lines.length; k += STATEMENTS_PER_FUNCTION) pieces.push(lines.slice(k, k + STATEMENTS_PER_FUNCTION));
  return pieces.length === 0 ? [[]] : pieces;
}

/** One function or, when long, a function for each piece and one that calls them all. */
export function functionText(name: string, args: string, pieces: Pieces): string[] {
  if (pieces.length === 1) return [`function ${name}(${args}) {`, ...pieces[0]!, '}'];
  return [
    ...pieces.flatMap((lines, k) => [`function ${name}${k}(${args}) {`, ...lines, '}']),
    `function ${name}(${args}) {`,
    ...pieces.map((_, k) => `${name}${k}(${args});`),
    '}',
  ];
}
