import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { field, tableCsv } from '../../../src/sheets/document/csv.ts';
import { EMPTY_BOX, type Table } from '../../../src/sheets/document/document.ts';
import { PAPER_IDS, PAPERS } from '../../../src/sheets/papers.ts';
import { askedSource, hostileText } from '../source.ts';

const STAMP = { machine: 'CRUSH10S', revision: 'B', date: '2026-11-25', fingerprint: 'k3f9a2m7qx', version: '1' };

function parsed(csv: string): string[][] {
  return parse(csv, { record_delimiter: '\r\n', relax_column_count: false });
}

describe('a table as comma-separated values', () => {
  const table: Table = {
    type: 'table', title: 'T', columns: [{ name: 'Name' }, { name: 'Says' }, { name: 'Tick' }],
    rows: [['plain', 'a, b', EMPTY_BOX], ['quoted "so"', 'two\r\nlines', EMPTY_BOX], ['Ω µ ² ° –', '', EMPTY_BOX]],
  };

  // Source: RFC 4180, October 2005, section 2, rules 1 to 7, as the library csv-parse reads them.
  it('reads back as what was written, with the stamp in every row', () => {
    const rows = parsed(tableCsv(table, STAMP));
    expect(rows).toEqual([
      ['Name', 'Says', 'Machine', 'Revision', 'Date', 'File id'],
      ['plain', 'a, b', 'CRUSH10S', 'B', '2026-11-25', 'k3f9a2m7qx'],
      ['quoted "so"', 'two\r\nlines', 'CRUSH10S', 'B', '2026-11-25', 'k3f9a2m7qx'],
      ['Ω µ ² ° –', '', 'CRUSH10S', 'B', '2026-11-25', 'k3f9a2m7qx'],
    ]);
  });

  // Source: OWASP, CSV Injection: cells that begin with = + - @, tab or carriage return.
  it('gives a spreadsheet no formula to run', () => {
    for (const text of ['=1+1', '+1+1', '-1+1', '@SUM(A1)', '\t=1', '\r=1', ' =1', '＝1+1', '＋1', '－1', '＠x', '\n=1', '=cmd|"/C calc"!A0'])
      expect(parsed(`${field(text)}\r\n`)[0]?.[0]?.startsWith("'"), JSON.stringify(text)).toBe(true);
  });

  it('leaves plain numbers and words as they are', () => {
    for (const text of ['-12.5', '+3', '0.150', '1e-6', 'T1-', 'bar-', 'a=b']) expect(field(text)).toBe(text);
  });

  it('keeps hostile names as text in every table of a machine', async () => {
    const source = await askedSource(hostileText());
    const made: string[] = [];
    let cells = 0;
    for (const id of PAPER_IDS) {
      const found = PAPERS[id].table?.(source);
      if (found === undefined) continue;
      made.push(id);
      for (const cell of parsed(tableCsv(found, source.stamp)).flat()) {
        cells += 1;
        expect(/^-?\d+(\.\d+)?$/.test(cell) || !/^\s*[=+\-@\t\r]/.test(cell), `${id}: ${cell}`).toBe(true);
      }
    }
    expect(cells).toBeGreaterThan(100);
    expect(made).toEqual(expect.arrayContaining(['wire-list', 'parts-list', 'isolation', 'faults', 'inspection']));
  });
});
