import { posix } from 'node:path';
import ts from 'typescript';

/** Source text by path from the repository's root, forward slashes: `src/engine/step.ts`. */
export type SourceMap = ReadonlyMap<string, string>;

/** For each layer of src/, the layers it may import besides itself. */
export type LayerTable = Readonly<Record<string, readonly string[]>>;

/** Module names that a source imports, re-exports, loads late or names in a type. */
export function importsOf(path: string, text: string): string[] {
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    const name = moduleName(node);
    if (name !== undefined && ts.isStringLiteralLike(name)) found.push(name.text);
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile(path, text, ts.ScriptTarget.ES2022, false));
  return found;
}

/** Every import cycle once, as the paths around it. An import of types counts: it ties two files just as firmly for a reader. */
export function findCycles(sources: SourceMap): string[][] {
  const cycles: string[][] = [];
  const finished = new Set<string>();
  const trail: string[] = [];
  const walk = (path: string): void => {
    const start = trail.indexOf(path);
    if (start >= 0) {
      cycles.push([...trail.slice(start), path]);
      return;
    }
    if (finished.has(path)) return;
    trail.push(path);
    for (const name of importsOf(path, sources.get(path) ?? '')) {
      const target = resolve(path, name);
      if (target !== undefined && sources.has(target)) walk(target);
    }
    trail.pop();
    finished.add(path);
  };
  for (const path of [...sources.keys()].sort()) walk(path);
  return cycles;
}

/** Imports of a layer that the importing file's layer may not use, each as one readable line. */
export function findLayerViolations(sources: SourceMap, table: LayerTable): string[] {
  const violations: string[] = [];
  for (const [path, text] of sources) {
    const from = layerOf(path);
    if (from === undefined) continue;
    const allowed = table[from];
    if (allowed === undefined) {
      violations.push(`${path}: ${from} is not a layer`);
      continue;
    }
    for (const name of importsOf(path, text)) {
      const target = resolve(path, name);
      if (target === undefined) continue;
      const to = layerOf(target) ?? target;
      if (to !== from && !allowed.includes(to)) violations.push(`${path}: ${from} may not import ${to} (${name})`);
    }
  }
  return violations;
}

/** Relative imports that do not name a file of code in full; the page may also bring in a style sheet. */
export function findUnnamedFiles(sources: SourceMap): string[] {
  return [...sources].flatMap(([path, text]) =>
    importsOf(path, text)
      .filter((name) => name.startsWith('.') && !/\.tsx?$|\.css$/.test(name))
      .map((name) => `${path}: '${name}' does not end in .ts`));
}

function moduleName(node: ts.Node): ts.Node | undefined {
  if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) return node.moduleSpecifier;
  if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) return node.arguments[0];
  if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument)) return node.argument.literal;
  return undefined;
}

function resolve(from: string, name: string): string | undefined {
  return name.startsWith('.') ? posix.join(posix.dirname(from), name) : undefined;
}

function layerOf(path: string): string | undefined {
  return /^src\/([^/]+)\//.exec(path)?.[1];
}
