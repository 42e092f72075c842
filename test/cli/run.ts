import type { AskRequest } from '../../src/questions/ask.ts';
import type { Report } from '../../src/sheets/report/report.ts';
import type { Machine } from '../../src/machine/machine.ts';
import { runProgram } from '../../src/cli/program.ts';
import type { Services } from '../../src/cli/services.ts';
import type { Terminal } from '../../src/cli/terminal.ts';
import { reportOf } from './fixture.ts';

export interface Run {
  readonly code: number;
  readonly out: string;
  readonly error: string;
  readonly asked: readonly AskRequest[];
}

/** A terminal without colour that keeps what is written. */
export function keptTerminal(columns = 80): { readonly terminal: Terminal; readonly out: () => string; readonly error: () => string } {
  let out = '';
  let error = '';
  const terminal: Terminal = {
    columns,
    showsProgress: false,
    ink: (_, text) => text,
    write: (text) => void (out += text),
    writeError: (text) => void (error += text),
    clock_ms: () => 0,
  };
  return { terminal, out: () => out, error: () => error };
}

/** Runs a command line with a reader that takes any text for the same machine, and answers from the fixture. */
export async function run(words: readonly string[], report: Report = reportOf(), services: Partial<Services> = {}): Promise<Run> {
  const kept = keptTerminal();
  const asked: AskRequest[] = [];
  const code = await runProgram(words, {
    terminal: kept.terminal,
    version: '9.8.7',
    packageFolder: '/nowhere',
    workFolder: '/nowhere',
    questionIds: ['spark', 'hold', 'stall'],
    readMachine: () => ({ ok: true, machine: MACHINE, questions: [] }),
    ask: (request) => {
      asked.push(request);
      return Promise.resolve(report.answers);
    },
    ...services,
  });
  return { code, out: kept.out(), error: kept.error(), asked };
}

const room = { dimension: 'temperature', value: 25, low: 25, high: 25, origin: 'assumed', perCell: false, text: '25 °C', law: 'exact' } as const;

export const MACHINE: Machine = {
  name: 'CRUSH10S', about: undefined, mass: undefined, parts: new Map(), wiring: { chains: [], bar: undefined },
  powerUp: [], powerDown: [], surroundings: { ambient: room, inside: room }, match: { ...room, dimension: 'time' }, duty: { name: 'usual', events: [] }, notes: new Map(),
};
