import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import PDFDocument from 'pdfkit';
import { fingerprint } from '../../src/machine/file/fingerprint.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import { GENERIC_RULES } from '../../src/machine/rules/generic.ts';
import { readRules } from '../../src/machine/rules/read.ts';
import type { RuleSet } from '../../src/machine/rules/rule-set.ts';
import type { Answer } from '../../src/questions/answer.ts';
import { askQuestions } from '../../src/questions/ask.ts';
import type { PdfTools } from '../../src/sheets/document/pdf-engine.ts';
import type { PaperSource } from '../../src/sheets/source.ts';

export const DEMOS = ['bar3s', 'board10s', 'crush10s', 'kart16s', 'lift6s', 'trk14s'] as const;
export type Demo = (typeof DEMOS)[number];

export function demoText(demo: Demo): string {
  return readFileSync(new URL(`../../machines/${demo}.yaml`, import.meta.url), 'utf8');
}

export function genericRules(): RuleSet {
  const result = readRules(GENERIC_RULES);
  if (!result.ok) throw new Error('the generic rules cannot be read');
  return result.rules;
}

/** What papers are made from, for a machine file's text and answers that are given. */
export function sourceOf(text: string, answers: readonly Answer[] = [], stamp: Partial<PaperSource['stamp']> = {}): PaperSource {
  const file = readMachine(text);
  if (!file.ok) throw new Error(`not a machine: ${JSON.stringify(file.issues[0])}`);
  return {
    machine: file.machine, text, seed: 1, samples: 0, answers, sheets: [], rules: genericRules(),
    stamp: { machine: file.machine.name, revision: 'B', date: '2026-11-25', fingerprint: fingerprint(text), version: '9.8.7', ...stamp },
  };
}

const asked = new Map<string, Promise<readonly Answer[]>>();

/** The same with the machine's own answers, nominal values only. */
export async function askedSource(text: string): Promise<PaperSource> {
  const source = sourceOf(text);
  const answers = asked.get(text) ?? askQuestions({ machine: source.machine, text, samples: 0, seed: 1 });
  asked.set(text, answers);
  return { ...source, answers: await answers };
}

const require = createRequire(import.meta.url);
const font = (name: string): Uint8Array => readFileSync(require.resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`));

export const PDF_TOOLS: PdfTools = { Document: PDFDocument as unknown as PdfTools['Document'], regular: font('DejaVuSans'), bold: font('DejaVuSans-Bold') };

/** Names and notes that try to become something else. */
export const HOSTILE = [
  '<script>alert(1)</script>', '"><img src=x onerror=alert(1)>', '</template><script>1</script>', '=HYPERLINK("http://x")', '+1+cmd', '-2+3', '@SUM(A1)', '&lt;b&gt;', 'a\u202Etxt', '(\\) Tj', '%PDF', '<!--',
] as const;

/** A machine whose every name, note and step is hostile. */
export function hostileText(): string {
  const quote = (text: string): string => JSON.stringify(text);
  const about = (k: number): string => quote(HOSTILE[k % HOSTILE.length] ?? '');
  return `ampwright: 1
machine: ${quote(HOSTILE[0])}
about: ${quote(HOSTILE[1])}
parts:
  G1: { kind: pack, about: ${about(2)}, chemistry: lipo, cells: 6, capacity: 3 Ah, label rate: 50 }
  F1: { kind: fuse, about: ${about(3)}, rating: 60 A }
  Q1: { kind: isolator, about: ${about(4)}, access: ${about(5)} }
  T1: { kind: controller, about: ${about(6)}, motor current: 60 A, drives: M1 }
  M1: { kind: motor, about: ${about(9)}, drives: ${about(7)} }
  P1: { kind: lamp, about: ${about(8)}, resistance: 5 kΩ }
wiring:
  ${quote(HOSTILE[3])}: from G1+, 12 AWG 0.1 m, F1, Q1, to ${HOSTILE[4]}
  main: from ${HOSTILE[4]}, 12 AWG 0.3 m, to T1
  lamp: from T1, 24 AWG 0.2 m, to P1
returns: all negatives on one bar
procedure:
  - crew: ${quote(HOSTILE[6])}
  - close Q1
  - crew: ${quote(HOSTILE[0])}
power down:
  - open Q1
notes:
  who: ${quote(HOSTILE[1])}
`;
}
