/** Ampwright as a library: read a machine file, ask its questions, run its circuit. */
export { readMachine, type FileResult } from './machine/file/read.ts';
export { formatIssue, type Issue } from './machine/file/issue.ts';
export { editMachine } from './machine/file/edit.ts';
export { fingerprint } from './machine/file/fingerprint.ts';
export type { Machine } from './machine/machine.ts';
export { buildCircuit, type Circuit } from './machine/circuit/circuit.ts';
export { planSteps } from './machine/circuit/power-up.ts';
export { simulate, type Run, type RunRequest } from './engine/simulate.ts';
export { findRest } from './engine/steady.ts';
export type { Outcome, Refusal } from './engine/outcome.ts';
export { askQuestions, type AskRequest } from './questions/ask.ts';
export { QUESTION_IDS, type QuestionId } from './questions/catalogue.ts';
export type { Answer, Item, Verdict } from './questions/answer.ts';
export { reportHtml } from './sheets/report/report.ts';
