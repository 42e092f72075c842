import type { PdfStructure } from './pdf-engine.ts';

/** Where a paper's text stands on its pages, points. */
export interface Area {
  readonly left: number;
  readonly width: number;
  /** Height that one page has for rows. */
  readonly height: number;
  /** Type size. */
  readonly size: number;
}

/** What stands together on one page. */
export interface Row {
  readonly height: number;
  /** Stays on a page with the row after it. */
  readonly keep: boolean;
  readonly draw: (y: number, structure: PdfStructure) => void;
}

/** A head that stands again, as decoration that is not read twice. */
export interface Repeat {
  readonly height: number;
  readonly draw: (y: number) => void;
}

/** A block laid out: rows that share one element of the document's structure. */
export interface Flow {
  readonly structure: string;
  readonly rows: readonly Row[];
  /** Drawn again at the top of a page on which the block goes on. */
  readonly repeat?: Repeat;
  /** Its heading, for the outline. */
  readonly heading?: string;
}
