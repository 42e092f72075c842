import { formatIssue } from '../machine/file/issue.ts';
import { EXIT, type ExitCode } from './exit.ts';
import { printable } from './layout.ts';
import type { Services } from './services.ts';
import { readSource } from './source-file.ts';

/** `ampwright check`: says what is wrong or odd in a machine file, and counts it. */
export function checkCommand(path: string, { terminal, readMachine }: Services): ExitCode {
  const file = readMachine(readSource(path));
  const name = printable(path);
  const issues = file.ok ? file.questions : file.issues;
  for (const issue of issues) terminal.write(`${formatIssue(issue, name)}\n`);
  const errors = issues.filter(({ severity }) => severity === 'error').length;
  const found = `${counted(errors, 'error')}, ${counted(issues.length - errors, 'question')}`;
  if (!file.ok) {
    terminal.write(`${name}: ${found}\n`);
    return EXIT.file;
  }
  const { machine } = file;
  const size = [counted(machine.parts.size, 'part'), counted(machine.wiring.chains.length, 'chain'), counted(machine.powerUp.length, 'step')].join(', ');
  terminal.write(`${name}: ${printable(machine.name)}, ${size}: ${found}\n`);
  return EXIT.fine;
}

function counted(count: number, what: string): string {
  return `${count === 0 ? 'no' : count} ${what}${count === 1 ? '' : 's'}`;
}
