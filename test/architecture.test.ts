import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import layers from '../scripts/layers.json' with { type: 'json' };
import { findCycles, findLayerViolations, findUnnamedFiles, importsOf } from './imports.ts';
import type { LayerTable, SourceMap } from './imports.ts';

const root = new URL('../', import.meta.url);
const table: LayerTable = layers;

function sourcesOnDisk(): SourceMap {
  const paths = readdirSync(new URL('src/', root), { recursive: true, encoding: 'utf8' })
    .map((path) => `src/${path.replaceAll('\\', '/')}`)
    .filter((path) => /\.tsx?$/.test(path));
  return new Map(paths.map((path) => [path, readFileSync(new URL(path, root), 'utf8')]));
}

describe('the imports in src/', () => {
  const sources = sourcesOnDisk();

  it('are read from at least one file', () => {
    expect(sources.size).toBeGreaterThan(0);
  });
  it('form no cycle', () => {
    expect(findCycles(sources)).toEqual([]);
  });
  it('point one way through the layers', () => {
    expect(findLayerViolations(sources, table)).toEqual([]);
  });
  it('name their file with .ts', () => {
    expect(findUnnamedFiles(sources)).toEqual([]);
  });
});

describe('the layer table', () => {
  it('lets no two layers import each other', () => {
    const mutual = Object.entries(table).flatMap(([layer, below]) =>
      below.filter((other) => table[other]?.includes(layer) ?? true).map((other) => `${layer}, ${other}`));
    expect(mutual).toEqual([]);
  });
});

describe('the checker itself', () => {
  it('sees every way to import, and none in comments or strings', () => {
    const text = `
      import { a } from './a.ts';
      import type { B } from './b.ts';
      import './c.ts';
      export { d } from './d.ts';
      export type { E } from './e.ts';
      export const f = () => import('./f.ts');
      export type G = import('./g.ts').G;
      // import { no } from './comment.ts';
      export const text = "import { no } from './text.ts'";
      export const pattern = /import ' from /;
      export { a as h };
    `;
    expect(importsOf('src/engine/x.ts', text)).toEqual(['./a.ts', './b.ts', './c.ts', './d.ts', './e.ts', './f.ts', './g.ts']);
  });

  it('finds a planted cycle, through a type import and a folder', () => {
    const planted = new Map([
      ['src/engine/start.ts', "import { step } from './step.ts';"],
      ['src/engine/step.ts', "import { wire } from './devices/wire.ts';"],
      ['src/engine/devices/wire.ts', "import type { Step } from '../step.ts';"],
    ]);
    expect(findCycles(planted)).toEqual([['src/engine/devices/wire.ts', 'src/engine/step.ts', 'src/engine/devices/wire.ts']]);
  });

  it('takes two roads to one file for no cycle', () => {
    const diamond = new Map([
      ['src/engine/top.ts', "import './left.ts'; import './right.ts';"],
      ['src/engine/left.ts', "import './end.ts';"],
      ['src/engine/right.ts', "import './end.ts';"],
      ['src/engine/end.ts', ''],
    ]);
    expect(findCycles(diamond)).toEqual([]);
  });

  it('finds a file that imports itself', () => {
    expect(findCycles(new Map([['src/engine/a.ts', "import './a.ts';"]]))).toHaveLength(1);
  });

  it('finds imports against the layers, in types and late imports too', () => {
    const planted = new Map([
      ['src/engine/devices/wire.ts', "import type { Machine } from '../../machine/machine.ts'; import '../../physics/copper.ts';"],
      ['src/cli/main.ts', "export const later = () => import('../engine/step.ts'); import '../sheets/card.ts';"],
      ['src/sheets/card.ts', "import { all } from '../index.ts';"],
      ['src/misc/thing.ts', ''],
    ]);
    expect(findLayerViolations(planted, table)).toEqual([
      'src/engine/devices/wire.ts: engine may not import machine (../../machine/machine.ts)',
      'src/cli/main.ts: cli may not import engine (../engine/step.ts)',
      'src/sheets/card.ts: sheets may not import src/index.ts (../index.ts)',
      'src/misc/thing.ts: misc is not a layer',
    ]);
  });

  it('finds imports without .ts and leaves packages alone', () => {
    const planted = new Map([['src/engine/a.ts', "import './b'; import './c.js'; import './d.ts'; import 'yaml';"]]);
    expect(findUnnamedFiles(planted)).toEqual([
      "src/engine/a.ts: './b' does not end in .ts",
      "src/engine/a.ts: './c.js' does not end in .ts",
    ]);
  });
});
