import type { NamedSituation } from '../../questions/states/look.ts';
import type { GoodMachine } from './document.ts';

/** How a switch is called in a sentence: `drive isolator Q1`, or its id alone. */
export function switchName({ machine }: GoodMachine, part: string): string {
  const about = machine.parts.get(part)?.about;
  return about === undefined ? part : `${about} ${part}`;
}

/** The situation in one sentence: `drive isolator Q1 CHARGE, main link LK1 closed, nothing failed`. */
export function situationWords({ positions, absent, turning, failures }: NamedSituation, good: GoodMachine): string {
  return [
    ...good.changeables.switches.map(({ part }) => `${switchName(good, part)} ${positions[part] ?? ''}`.trim()),
    ...absent.map((part) => `${part} out`),
    ...turning.map((part) => `${part} turning`),
    failures.length === 0 ? 'nothing failed' : failures.join(', '),
  ].join(', ');
}
