import { readFileSync } from 'node:fs';
import tseslint from 'typescript-eslint';

/** For each layer of src/, the layers it may import besides itself; test/architecture.test.ts reads the same table. */
const below = JSON.parse(readFileSync(new URL('./scripts/layers.json', import.meta.url), 'utf8'));
const layers = Object.keys(below);
const edges = ['cli', 'page'];
const pureLayers = layers.filter((layer) => !edges.includes(layer));

const pureFiles = ['src/index.ts', ...pureLayers.map((layer) => `src/${layer}/**/*.ts`)];

const ownIndex = {
  regex: '^\\.{1,2}/(?:.*/)?index(?:\\.ts)?$',
  message: 'Import the file that owns the name; src/index.ts is for users of the library.',
};
const outsideWorld = [
  { regex: '^node:', message: 'Clock, files and workers are arguments here, handed down by cli and page.' },
  { regex: '^(commander|tinypool|chokidar|preact|@preact)(/|$)', message: 'Only cli or page imports this package.' },
];

/** Import bans of one layer: every layer that its row in the table does not name. */
function importRule(layer) {
  const forbidden = layers.filter((other) => other !== layer && !below[layer].includes(other));
  const patterns = [ownIndex, ...(edges.includes(layer) ? [] : outsideWorld)];
  if (forbidden.length > 0) {
    patterns.push({
      regex: `^(?:\\.{1,2}/)*\\.\\./(?:\\./)*(?:src/)?(?:${forbidden.join('|')})/`,
      message: `${layer} may import ${below[layer].length > 0 ? below[layer].join(', ') : 'no other layer'}.`,
    });
  }
  return ['error', { patterns }];
}

const layerConfigs = layers.map((layer) => ({
  files: [`src/${layer}/**/*.{ts,tsx}`],
  rules: { 'no-restricted-imports': importRule(layer) },
}));

const entryMayExport = ['machine', 'engine', 'questions', 'sheets'];
const entryConfig = {
  files: ['src/index.ts'],
  rules: {
    'no-restricted-imports': ['error', {
      patterns: [
        ...outsideWorld,
        {
          regex: `^\\./(?:${layers.filter((layer) => !entryMayExport.includes(layer)).join('|')})/`,
          message: `The library entry exports from ${entryMayExport.join(', ')}.`,
        },
      ],
    }],
  },
};

const ambientNames = [
  'console', 'process', 'Buffer', 'global', 'globalThis', 'require', 'performance', 'crypto', 'fetch',
  'window', 'document', 'self', 'navigator', 'location', 'history', 'localStorage', 'sessionStorage', 'indexedDB',
  'HTMLElement', 'Element', 'Node', 'DOMParser', 'XMLSerializer', 'XMLHttpRequest', 'WebSocket', 'Worker', 'alert', 'postMessage',
  'setTimeout', 'setInterval', 'setImmediate', 'clearTimeout', 'clearInterval', 'clearImmediate',
  'queueMicrotask', 'requestAnimationFrame', 'cancelAnimationFrame', 'requestIdleCallback',
];

const exportBans = [
  { selector: 'ExportAllDeclaration', message: 'Name what is exported: a list can be read, and export * makes cycles.' },
  { selector: 'ExportDefaultDeclaration', message: 'Export by name.' },
];

export default tseslint.config(
  { ignores: ['dist/', 'coverage/', 'docs/', 'out/', 'node_modules/', 'schema/'] },
  {
    linterOptions: { reportUnusedDisableDirectives: 'error' },
    rules: {
      // ESLint's recommended set ships in a package of its own; these are the rules of it that find mistakes the compiler lets through.
      ...Object.fromEntries([
        'for-direction', 'no-async-promise-executor', 'no-compare-neg-zero', 'no-cond-assign', 'no-constant-binary-expression',
        'no-control-regex', 'no-debugger', 'no-dupe-else-if', 'no-duplicate-case', 'no-empty', 'no-empty-character-class',
        'no-empty-pattern', 'no-ex-assign', 'no-fallthrough', 'no-global-assign', 'no-irregular-whitespace',
        'no-loss-of-precision', 'no-misleading-character-class', 'no-prototype-builtins', 'no-self-assign', 'no-self-compare',
        'no-shadow-restricted-names', 'no-sparse-arrays', 'no-unexpected-multiline', 'no-unsafe-finally', 'no-unsafe-negation',
        'no-unsafe-optional-chaining', 'no-unused-labels', 'no-useless-catch', 'no-useless-escape', 'no-var', 'prefer-const',
        'preserve-caught-error', 'use-isnan', 'valid-typeof',
      ].map((rule) => [rule, 'error'])),
      eqeqeq: 'error',
      'no-eval': 'error',
      'no-new-func': 'error',
      'no-script-url': 'error',
      'object-shorthand': 'error',
    },
  },
  {
    files: ['**/*.{ts,tsx}'],
    extends: [...tseslint.configs.recommendedTypeChecked],
    languageOptions: { parserOptions: { projectService: true, tsconfigRootDir: import.meta.dirname } },
    rules: {
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'separate-type-imports' }],
      '@typescript-eslint/consistent-type-exports': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', {
        allowDefaultCaseForExhaustiveSwitch: true,
        considerDefaultExhaustiveForUnions: true,
      }],
      '@typescript-eslint/no-unnecessary-type-arguments': 'error',
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
      '@typescript-eslint/require-array-sort-compare': 'error',
      // The compiler already reports unused names, with the same underscore convention.
      '@typescript-eslint/no-unused-vars': 'off',
    },
  },
  {
    files: ['src/**/*.{ts,tsx}'],
    rules: {
      'max-lines': ['error', { max: 400, skipBlankLines: true, skipComments: false }],
      'no-restricted-syntax': ['error', ...exportBans],
      'no-restricted-exports': ['error', { restrictDefaultExports: { direct: true, named: true, defaultFrom: true, namedFrom: true, namespaceFrom: true } }],
    },
  },
  {
    files: pureFiles,
    rules: {
      'no-restricted-globals': ['error', ...ambientNames.map((name) => ({ name, message: 'This layer runs unchanged in Node, a worker and a browser: take it as an argument.' }))],
      'no-restricted-properties': ['error',
        { object: 'Date', property: 'now', message: 'The clock is an argument.' },
        { object: 'Math', property: 'random', message: 'Random numbers come from a seeded generator that is handed in.' },
      ],
      'no-restricted-syntax': ['error', ...exportBans,
        { selector: "NewExpression[callee.name='Date'][arguments.length=0]", message: 'The clock is an argument.' },
        { selector: 'ImportExpression', message: 'Only cli and page load code late.' },
      ],
    },
  },
  ...layerConfigs,
  entryConfig,
  {
    // The generated kernel is the one place that compiles text; the interpreted kernel covers pages that forbid it.
    files: ['src/engine/kernel/*.ts'],
    rules: {
      'no-new-func': 'off',
      '@typescript-eslint/no-implied-eval': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
    },
  },
  {
    files: ['test/**/*.ts', 'bench/**/*.ts', 'scripts/**/*.ts', '*.config.ts'],
    rules: {
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
      '@typescript-eslint/require-await': 'off',
    },
  },
  {
    files: ['**/*.mjs'],
    rules: { 'no-undef': 'error', 'no-unused-vars': 'error' },
    languageOptions: {
      globals: { console: 'readonly', process: 'readonly', URL: 'readonly', performance: 'readonly', setTimeout: 'readonly', Buffer: 'readonly' },
    },
  },
);
