import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { readMachine } from '../../../src/machine/file/read.ts';
import type { Machine } from '../../../src/machine/machine.ts';
import { PART_KINDS } from '../../../src/machine/parts.ts';
import { checkSheet, checkShapes, crossingsOf } from '../../../src/sheets/drawing/check.ts';
import { designationsOf } from '../../../src/sheets/drawing/designations.ts';
import { drawSheets, drawView, layDrawing, layView } from '../../../src/sheets/drawing/drawing.ts';
import { colourCode } from '../../../src/sheets/colours.ts';
import { conductorWords, wireMarks } from '../../../src/sheets/drawing/facts.ts';
import type { PageFormat } from '../../../src/sheets/drawing/frame.ts';
import { line } from '../../../src/sheets/drawing/ink.ts';
import { inkOf, type Group, type Shape, type Sheet } from '../../../src/sheets/drawing/shapes.ts';
import type { Situation } from '../../../src/sheets/drawing/situation.ts';
import { svgOf } from '../../../src/sheets/drawing/svg.ts';
import { text } from '../../../src/sheets/drawing/type.ts';
import { colourOf } from '../../../src/sheets/wire-words.ts';
import { wiresOf } from '../../../src/sheets/wires.ts';
import { randomMachine } from './random-machine.ts';

const DEMOS = ['bar3s', 'board10s', 'crush10s', 'kart16s', 'lift6s', 'trk14s'];

function machineOf(source: string): Machine {
  const read = readMachine(source);
  if (!read.ok) throw new Error(JSON.stringify(read.issues.slice(0, 3)));
  return read.machine;
}

function demo(name: string): Machine {
  return machineOf(readFileSync(new URL(`../../../machines/${name}.yaml`, import.meta.url), 'utf8'));
}

function wordsOf(sheets: readonly Sheet[]): string[] {
  return sheets.flatMap(({ shapes }) => [...inkOf(shapes)].flatMap((shape) => (shape.shape === 'text' ? [shape.text] : [])));
}

function* groups(shapes: readonly Shape[]): Generator<Group> {
  for (const shape of shapes) {
    if (shape.shape !== 'group') continue;
    yield shape;
    yield* groups(shape.shapes);
  }
}

function partsDrawn(sheets: readonly Sheet[]): string[] {
  return sheets.flatMap(({ shapes }) => [...groups(shapes)].flatMap((group) => (group.classes.includes('part') && group.data?.part !== undefined ? [group.data.part] : [])));
}

/** Words at each conductor, over and under its line. */
function conductorsDrawn(sheets: readonly Sheet[]): string[][] {
  return sheets.flatMap(({ shapes }) => [...groups(shapes)].flatMap((group) => (group.classes.includes('conductor') ? [group.shapes.flatMap((shape) => (shape.shape === 'text' ? [shape.text] : []))] : [])));
}

/** Numbers of wires that stand at conductors. */
function wiresDrawn(sheets: readonly Sheet[]): string[] {
  return conductorsDrawn(sheets).flatMap((words) => words.flatMap((word) => [...word.matchAll(/(?<=^|, |\u2212)W\d+(?=$|,)/g)].map(([id]) => id)));
}

describe('the check itself', () => {
  const paper = { left: 5, top: 5, right: 200, bottom: 100 };
  const faults = (...shapes: readonly Shape[]): string[] => checkShapes(shapes, paper).map(({ fault }) => fault);
  const lead = (name: string, ...points: readonly (readonly [number, number])[]): Group => ({ shape: 'group', classes: ['conductor'], data: { conductor: name }, shapes: points.slice(1).map(([x, y], k) => line(points[k]![0], points[k]![1], x, y)) });

  it('finds each thing that it looks for, and nothing on a clean sheet', () => {
    expect(faults(text(20, 20, 'F1'), text(40, 20, 'F2'), line(10, 30, 60, 30))).toEqual([]);
    expect(faults(text(20, 20, 'F1 150 A'), text(24, 20, 'bolt-in'))).toEqual(['text over text']);
    expect(faults(text(20, 20, 'F1 150 A'), line(10, 19, 60, 19))).toEqual(['line through text']);
    expect(faults(text(198, 20, 'F1 150 A'))).toEqual(['outside the sheet']);
    const symbol: Group = { shape: 'group', classes: ['part'], data: { part: 'F1' }, shapes: [{ shape: 'rect', x: 20, y: 20, width: 10, height: 6, fill: 'paper' }] };
    expect(faults(symbol, lead('a', [10, 23], [50, 23]))).toEqual(['line through a symbol']);
    expect(faults(symbol, lead('a', [10, 23], [20, 23]))).toEqual([]);
    expect(faults(lead('a', [10, 23], [50, 23]), lead('b', [40, 23], [60, 23]))).toEqual(['leads on one line']);
    expect(faults(lead('a', [10, 23], [50, 24]))).toEqual(['lead out of square']);
    expect(crossingsOf([lead('a', [10, 23], [50, 23]), lead('b', [20, 10], [20, 40])])).toBe(1);
  });
});

describe.each(DEMOS)('the drawing of %s', (name) => {
  it.each<PageFormat>(['A4', 'Letter'])('has nothing overlapped, run through or cut off on %s', async (format) => {
    const sheets = drawSheets(await layDrawing(demo(name), format), { revision: 'A', date: '2026-11-25', fingerprint: '0123456789' });
    expect(sheets.flatMap(checkSheet)).toEqual([]);
    expect(sheets).toHaveLength(1);
  });

  it('shows every part once, and every wire of the wire list once, with its length and colour', async () => {
    const machine = demo(name);
    const sheets = drawSheets(await layDrawing(machine));
    expect(partsDrawn(sheets).sort()).toEqual([...machine.parts.keys()].sort());
    const { wires } = wiresOf(machine);
    expect(wiresDrawn(sheets).sort()).toEqual(wires.map(({ id }) => id).sort());
    const leads = conductorsDrawn(sheets);
    for (const wire of wires.filter(({ implied }) => !implied)) {
      const lead = leads.find((words) => words.some((word) => word.split(', ').includes(wire.id)));
      expect(lead?.at(-1), wire.id).toBe(`${conductorWords(wire.conductor, undefined).length} ${colourOf(wire)}`);
    }
  });

  it('is the same when made again', async () => {
    const [one, two] = await Promise.all([layDrawing(demo(name)), layDrawing(demo(name))]);
    expect(drawSheets(two).map((sheet) => svgOf(sheet))).toEqual(drawSheets(one).map((sheet) => svgOf(sheet)));
  });

  it('has few crossings', async () => {
    // Two packs with − leads of their own must cross once; nothing else on the demos must.
    const [sheet] = drawSheets(await layDrawing(demo(name)));
    expect(crossingsOf(sheet!.shapes)).toBeLessThanOrEqual(name === 'trk14s' ? 2 : 0);
  });
});

/** All hundred with AMPWRIGHT_PROVE=1; otherwise every eleventh, so that both paper sizes and all numbers of parts are among them. */
const STEP = process.env['AMPWRIGHT_PROVE'] === '1' ? 1 : 11;
const SEEDS = Array.from({ length: 100 }, (_, seed) => seed).filter((seed) => seed % STEP === 0);

describe(`${SEEDS.length} random machines of 3 to 80 parts, of seeds 0 to 99`, () => {
  it.each(SEEDS)('seed %i is drawn without a finding, every part and every wire once', async (seed) => {
    const machine = machineOf(randomMachine(seed, 3 + Math.round((77 * seed) / 99)));
    const sheets = drawSheets(await layDrawing(machine, seed % 2 === 0 ? 'A4' : 'Letter'));
    expect(sheets.flatMap(checkSheet)).toEqual([]);
    expect(partsDrawn(sheets).sort()).toEqual([...machine.parts.keys()].sort());
    expect(wiresDrawn(sheets).sort()).toEqual(wiresOf(machine).wires.map(({ id }) => id).sort());
  }, 60_000);

  it('hold every kind of part between them', () => {
    const kinds = new Set(Array.from({ length: 100 }, (_, seed) => machineOf(randomMachine(seed, 3 + Math.round((77 * seed) / 99)))).flatMap(({ parts }) => [...parts.values()].map(({ kind }) => kind as string)));
    const missing = PART_KINDS.map(({ kind }) => kind).filter((kind) => !kinds.has(kind));
    expect(missing).toEqual([]);
  });
});

describe('a situation', () => {
  const situation: Situation = {
    words: 'Drive on CHARGE, arm OFF',
    positions: new Map([['Q1', 'CHARGE'], ['Q2', 'OFF']]),
    conductors: new Map([['wiring.pack', 'live'], ['wiring.left', 'fed'], ['wiring.arm', 'dead'], ['signal grounds.arm', 'leaking']]),
    places: new Map([['bar', 'live'], ['drive', 'fed']]),
    voltages: new Map([['bar', '42.0 V'], ['drive', '8.27 V']]),
    loads: new Map([['T1', 'awake'], ['T2', 'can move'], ['T4', 'dead'], ['P1', 'awake']]),
    failed: new Map([['F1', 'open']]),
    path: new Set(['wiring.pack', 'F1', 'Q1']),
  };

  it('is told in words, by weight and by dash, and moves nothing', async () => {
    const laid = await layDrawing(demo('crush10s'));
    const [plain] = drawSheets(laid);
    const [sheet] = drawSheets(laid, {}, situation);
    expect(checkSheet(sheet!)).toEqual([]);
    const words = wordsOf([sheet!]);
    expect(words).toEqual(expect.arrayContaining(['live', '42.0 V', 'fed', '8.27 V', 'awake', 'can move', 'dead', 'open', 'leaking', 'Drive on CHARGE, arm OFF']));
    const named = (one: Sheet): unknown[] => [...inkOf(one.shapes)].flatMap((shape) => (shape.shape === 'text' && /^(?:[GFQT]\d|bar|drive)$/.test(shape.text) ? [[shape.text, shape.x, shape.y]] : []));
    expect(named(sheet!)).toEqual(named(plain!));
    const strokes = (conductor: string): unknown[] => [...groups(sheet!.shapes)].filter(({ data }) => data?.chain === conductor).flatMap(({ shapes }) => shapes.flatMap((shape) => (shape.shape === 'polyline' && shape.stroke?.tone !== 'rule' ? [[shape.stroke?.width_mm, shape.stroke?.dash_mm?.length ?? 0]] : [])));
    const distinct = new Set(['wiring.pack', 'wiring.left', 'wiring.arm', 'signal grounds.arm'].map((chain) => JSON.stringify(strokes(chain)[0])));
    expect(distinct.size).toBe(4);
  });

  it('turns a selector to its position', async () => {
    const laid = await layView(demo('crush10s'), 1.6);
    const bold = (position: string): string[] => [...inkOf(drawView(laid, { positions: new Map([['Q1', position], ['Q2', 'OFF']]) }).shapes)].flatMap((shape) => (shape.shape === 'text' && shape.weight === 700 && ['OFF', 'CHARGE', 'ON'].includes(shape.text) ? [shape.text] : []));
    expect(bold('CHARGE').sort()).toEqual(['CHARGE', 'OFF']);
    expect(bold('ON').sort()).toEqual(['OFF', 'ON']);
  });
});

describe('words on the drawing', () => {
  it('codes colours by IEC 60757', () => {
    // Source: IEC 60757, code for designation of colours (from memory): RD red, BK black, GNYE green-and-yellow.
    expect([colourCode('red'), colourCode('BK'), colourCode('green/yellow')]).toEqual(['RD', 'BK', 'GNYE']);
  });

  it('gives AWG and mm², length and colour of a conductor', () => {
    const machine = machineOf(readFileSync(new URL('../../../machines/crush10s.yaml', import.meta.url), 'utf8').replace('8 AWG 0.50 m, to drive', '8 AWG 0.50 m red, to drive'));
    const item = machine.wiring.chains.find(({ name }) => name === 'drive')!.items.find((one) => 'conductor' in one)!;
    // Source: ASTM B258: No 8 has 8.37 mm².
    expect('conductor' in item && conductorWords(item.conductor, wireMarks(machine).get(item.conductor))).toEqual({ metric: '8.37 mm²', size: '8 AWG', wires: 'W3, −W4', length: '0.50 m RD' });
  });

  it('keeps ids that are designations, and gives others the next free number of their letter', () => {
    const found = designationsOf(demo('lift6s'));
    // IEC 81346-2 (from memory): X for a link, R for a diode. X1 and R1, R2 are taken in the file.
    expect([found.get('G1'), found.get('LK1'), found.get('LK2'), found.get('D1')]).toEqual(['G1', 'X2', 'X3', 'R3']);
    expect(new Set(found.values()).size).toBe(found.size);
  });
});

describe('the SVG', () => {
  it('keeps hostile names as text, and says what it shows', async () => {
    const machine = machineOf([
      'ampwright: 1', 'machine: "<script>alert(1)</script>"', 'parts:',
      '  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 5 Ah, about: "\\"><img src=x onerror=alert(1)>" }',
      '  T1: { kind: controller, motor current: 60 A, about: "]]> & <b>\u202Eevil" }', 'wiring:', '  "a\'b <i>": from G1+, to "x\\"y"', '  c: from "x\\"y", to T1', 'returns: all negatives on one bar', '',
    ].join('\n').replaceAll('"x\\"y"', '<u>'));
    const svg = svgOf(drawSheets(await layDrawing(machine))[0]!);
    expect(svg).not.toMatch(/<(?:script|img|b|i|u)\b/);
    expect(svg).not.toContain('\u202E');
    expect(svg).toContain('&lt;script&gt;');
    expect(svg).toMatch(/^<svg [^>]*role="img" aria-labelledby="sheet-title sheet-desc"/);
    expect(svg).toContain('<title id="sheet-title">');
    expect(svg).toMatch(/<desc id="sheet-desc">[^<]*T1/);
  });

  it('is as a person looked at it: BOARD10S', async () => {
    const svg = svgOf(drawSheets(await layDrawing(demo('board10s')), { revision: 'A', date: '2026-11-25', fingerprint: '0123456789' })[0]!);
    await expect(svg).toMatchFileSnapshot('board10s.svg');
  });
});
