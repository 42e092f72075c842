// `npm test`: every stage in turn, its time and outcome, then the count of tests on the last line. Types and lint use one
// core each: they go together.
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs';
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { dirname, join } from 'node:path';
import { chromium, TO_INSTALL } from './chromium.mjs';

const root = dirname(dirname(fileURLToPath(import.meta.url)));
const modules = join(root, 'node_modules');
const report = join(modules, '.cache', 'vitest.json');
const pageReport = join(modules, '.cache', 'vitest-page.json');

/** A stage is one program with its arguments; `report` names the JSON file in which it counts its tests. Browser tests go last. */
const stages = [
  [
    { name: 'types', program: 'typescript/bin/tsc', runs: [['--noEmit'], ...['tsconfig.pure.json', 'src/page', 'test/page'].map((project) => ['--noEmit', '-p', project])] },
    { name: 'lint', program: 'eslint/bin/eslint.js', runs: [['.', '--max-warnings', '0']] },
  ],
  [{ name: 'unit tests', program: 'vitest/vitest.mjs', runs: [['run', '--allowOnly=false', '--reporter=dot', '--reporter=json', `--outputFile.json=${report}`]], report }],
  browserStage(),
];

mkdirSync(dirname(report), { recursive: true });
const total = { passed: 0, failed: 0, skipped: 0 };
for (const together of stages) {
  const passed = await Promise.all(together.map(pass));
  if (passed.includes(false)) finish(1);
}
finish(total.failed > 0 ? 1 : 0);

/** Runs a stage and says how it ended. */
async function pass(stage) {
  const started = performance.now();
  if (stage.report) rmSync(stage.report, { force: true });
  let passed = true;
  for (const args of stage.runs) passed &&= await run(stage.program, args);
  if (stage.report) count(stage.report);
  console.log(`${stage.name}: ${passed ? 'passed' : 'FAILED'} in ${((performance.now() - started) / 1000).toFixed(1)} s`);
  return passed;
}

/** Needs a browser: without one it says what to install, and in CI that is a failure. */
function browserStage() {
  if (chromium() === undefined && !process.env.CI) {
    console.log(`browser tests: NOT RUN, there is no Chromium here: ${TO_INSTALL}`);
    return [];
  }
  return [{
    name: 'browser tests',
    program: 'vitest/vitest.mjs',
    runs: [['run', '--config', 'vitest.page.config.ts', '--allowOnly=false', '--reporter=dot', '--reporter=json', `--outputFile.json=${pageReport}`]],
    report: pageReport,
  }];
}

function run(program, args) {
  return new Promise((done) => {
    const child = spawn(process.execPath, [join(modules, program), ...args], { cwd: root, stdio: 'inherit' });
    child.on('error', () => done(false));
    child.on('exit', (code) => done(code === 0));
  });
}

function count(file) {
  if (!existsSync(file)) return;
  const result = JSON.parse(readFileSync(file, 'utf8'));
  // A file that fails to load holds no tests; it counts as one that failed.
  const unloaded = result.testResults.filter(({ status, assertionResults }) => status === 'failed' && !assertionResults.some((test) => test.status === 'failed'));
  total.passed += result.numPassedTests;
  total.failed += result.numFailedTests + unloaded.length;
  total.skipped += result.numPendingTests + result.numTodoTests;
}

function finish(code) {
  const ran = total.passed + total.failed;
  if (ran === 0) console.log('No tests ran.');
  console.log(`${total.passed} passed, ${total.failed} failed${total.skipped > 0 ? `, ${total.skipped} skipped` : ''}`);
  process.exit(ran === 0 ? 1 : code);
}
