import { EMPTY_BOX, type Stamp, type Table } from './document.ts';

/**
 * A table as comma-separated values with a header row, and the paper's stamp in the last columns of every row, so that
 * a sheet that was sorted, cut or joined still says what it was made from. Cells that a spreadsheet would run as a
 * formula are made text by an apostrophe in front.
 * @see RFC 4180, 2005, section 2: CRLF, quotes doubled, as many fields in each row
 */
export function tableCsv({ columns, rows }: Table, stamp: Stamp): string {
  const kept = columns.flatMap((_, at) => (rows.length > 0 && rows.every((row) => row[at] === EMPTY_BOX) ? [] : [at]));
  const marks = [stamp.machine, stamp.revision ?? '', stamp.date ?? '', stamp.fingerprint];
  const lines = [
    [...kept.map((at) => columns[at]?.name ?? ''), 'Machine', 'Revision', 'Date', 'File id'],
    ...rows.map((row) => [...kept.map((at) => row[at] ?? ''), ...marks]),
  ];
  return lines.map((line) => `${line.map(field).join(',')}\r\n`).join('');
}

/**
 * One field, quoted where it must be.
 * A plain number keeps its sign: it is what it says. Full-width signs count, because some programs fold them.
 */
export function field(text: string): string {
  const plain = /^[+-]?\d+(\.\d+)?(e[+-]?\d+)?$/i.test(text);
  const inert = !plain && /^\s*[=+\-@\uFF0B\uFF0D\uFF1D\uFF20]|^[\t\r\n]/u.test(text) ? `'${text}` : text;
  const shown = inert.replace(/[^\P{Cc}\t\r\n]/gu, '\uFFFD');
  return /[",\r\n]/.test(shown) ? `"${shown.replace(/"/g, '""')}"` : shown;
}
