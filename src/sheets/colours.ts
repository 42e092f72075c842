/** Code letters of colours. Source: IEC 60757:2021, Table 1 (from memory). */
const CODES: Readonly<Record<string, string>> = {
  black: 'BK', brown: 'BN', red: 'RD', orange: 'OG', yellow: 'YE', green: 'GN', blue: 'BU', violet: 'VT', grey: 'GY', gray: 'GY', white: 'WH', pink: 'PK', turquoise: 'TQ',
};

/** `red` is RD; two colours on one conductor stand together, as in GNYE. */
export function colourCode(colour: string): string {
  return colour.split(/[\s/]+/).map((word) => CODES[word] ?? word).join('');
}
