/** What is used of a font that the PDF library has opened. */
export interface OpenedFont {
  readonly layout: (text: string, features?: unknown) => GlyphRun;
  readonly glyphsForString: (text: string) => readonly Glyph[];
  readonly unitsPerEm: number;
  /** Width of a text in units of the font, where its letters stand side by side as they come; undefined for other scripts. */
  readonly widthOf?: (text: string) => number | undefined;
}

interface Glyph {
  /** In units of the font. */
  readonly advanceWidth: number;
}

interface GlyphRun {
  readonly glyphs: readonly Glyph[];
  readonly positions: readonly Position[];
  readonly advanceWidth: number;
}

interface Position {
  readonly xAdvance: number;
  readonly yAdvance: number;
  readonly xOffset: number;
  readonly yOffset: number;
}

/** Letters that stand side by side as they come: Latin, Greek, Cyrillic, signs. No marks that combine. */
const PLAIN = /^[\u0020-\u02FF\u0370-\u0482\u048A-\u04FF\u1E00-\u1FFF\u2010-\u2027\u202F-\u205E\u2070-\u20CF\u2100-\u27BF\uFFFD]*$/;

/** Widths that are remembered. */
const MOST_WIDTHS = 50_000;

/**
 * The same font, with plain letters set side by side as the drawing measures them, and every other script shaped by the
 * library. Shaping each word anew, for each paper anew, took four fifths of the time of making one; pairs of letters are
 * not kerned for that.
 */
export function plainlySet<F extends OpenedFont>(font: F): F {
  const known = new Map<string, { readonly glyph: Glyph; readonly width: number }>();
  const at = (letter: string): { readonly glyph: Glyph; readonly width: number } => {
    const found = known.get(letter);
    if (found !== undefined) return found;
    const [glyph] = font.glyphsForString(letter);
    const made = { glyph: glyph!, width: glyph!.advanceWidth };
    known.set(letter, made);
    return made;
  };
  const layout = (text: string, features?: unknown): GlyphRun => {
    if (!PLAIN.test(text)) return font.layout(text, features);
    const set = [...text].map(at);
    // Made anew each time: the library scales positions in place, and reads the sum when that is done.
    const positions = set.map(({ width }) => ({ xAdvance: width, yAdvance: 0, xOffset: 0, yOffset: 0 }));
    return {
      glyphs: set.map(({ glyph }) => glyph),
      positions,
      get advanceWidth() {
        return positions.reduce((sum, { xAdvance }) => sum + xAdvance, 0);
      },
    };
  };
  // Papers of one machine say the same words again and again.
  const widths = new Map<string, number>();
  const widthOf = (text: string): number | undefined => {
    const found = widths.get(text);
    if (found !== undefined) return found;
    if (!PLAIN.test(text)) return undefined;
    let sum = 0;
    for (const letter of text) sum += at(letter).width;
    if (widths.size >= MOST_WIDTHS) widths.clear();
    widths.set(text, sum);
    return sum;
  };
  return Object.create(font, { layout: { value: layout }, widthOf: { value: widthOf } }) as F;
}
