import { plainlySet, type OpenedFont } from './pdf-font.ts';

/**
 * What is used of the PDF library. The library is handed in by the caller, so that whoever makes no PDF does not load
 * it, and so that this layer compiles without the types of Node that it drags along.
 */
export interface PdfDocument {
  readonly outline: { addItem(text: string): unknown };
  on(event: 'data', listener: (piece: Uint8Array) => void): unknown;
  on(event: 'end', listener: () => void): unknown;
  on(event: 'error', listener: (error: unknown) => void): unknown;
  registerFont(name: string, source: Uint8Array | OpenedFont): PdfDocument;
  font(name: string): PdfDocument;
  fontSize(size: number): PdfDocument;
  widthOfString(text: string): number;
  addPage(options: { readonly size: readonly [number, number]; readonly margin: 0 }): PdfDocument;
  text(text: string, x: number, y: number, options: { readonly lineBreak: false; readonly baseline?: 'alphabetic' }): PdfDocument;
  save(): PdfDocument;
  restore(): PdfDocument;
  rotate(angle: number, options: { readonly origin: readonly [number, number] }): PdfDocument;
  path(d: string): PdfDocument;
  circle(x: number, y: number, radius: number): PdfDocument;
  rect(x: number, y: number, width: number, height: number): PdfDocument;
  lineWidth(width: number): PdfDocument;
  lineCap(style: 'butt' | 'round' | 'square'): PdfDocument;
  dash(length: number | number[], options?: { readonly space?: number }): PdfDocument;
  undash(): PdfDocument;
  stroke(colour: string): PdfDocument;
  fill(colour: string): PdfDocument;
  fillAndStroke(fill: string, stroke: string): PdfDocument;
  fillColor(colour: string): PdfDocument;
  struct(type: string, options?: StructureOptions, children?: readonly (() => void)[]): PdfStructure;
  addStructure(element: PdfStructure): unknown;
  markContent(tag: string, options?: Readonly<Record<string, unknown>>): unknown;
  endMarkedContent(): unknown;
  end(): unknown;
}

export interface StructureOptions {
  readonly alt?: string;
  readonly scope?: 'Column' | 'Row';
}

export interface PdfStructure {
  add(child: PdfStructure | (() => void)): PdfStructure;
  end(): void;
}

export type PdfLibrary = new (options: Readonly<Record<string, unknown>>) => PdfDocument;

/** The library and the two fonts to embed: the bytes of TrueType files, or, for many papers, what `openedFonts` makes of them. */
export interface PdfTools {
  readonly Document: PdfLibrary;
  readonly regular: Uint8Array | OpenedFont;
  readonly bold: Uint8Array | OpenedFont;
}

/** The same tools with their fonts opened once, for as many papers as are to be made. */
export function openedFonts(tools: PdfTools): PdfTools {
  const pdf = new tools.Document({ autoFirstPage: false, font: '' });
  const opened = (source: Uint8Array | OpenedFont, name: string): Uint8Array | OpenedFont => {
    if (!(source instanceof Uint8Array)) return source;
    pdf.registerFont(name, source).font(name);
    // The library names no way to a font that it has opened; where it keeps it elsewhere one day, bytes do as well.
    const { _font: kept } = pdf as PdfDocument & { readonly _font?: { readonly font?: Partial<OpenedFont> } };
    const font = kept?.font;
    return font?.layout === undefined || font.glyphsForString === undefined ? source : plainlySet(font as OpenedFont);
  };
  return { Document: tools.Document, regular: opened(tools.regular, 'regular'), bold: opened(tools.bold, 'bold') };
}
