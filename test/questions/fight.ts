import type { MatchRecord } from '../../src/machine/match/record.ts';
import { plain } from '../machine/match/machines.ts';
import type { Fight } from '../../src/questions/match-fought.ts';
import type { Study } from '../../src/questions/study.ts';

/** The match of a study, which has to have one. */
export function fightOfStudy(base: Study): Fight {
  const fought = base.fought();
  if (fought.status !== 'fought') throw new Error(JSON.stringify(fought));
  return fought.fight;
}

/** The plain machine of the match's tests, held still with its throttle on: a steady current. */
export function heldStill(parts: Parameters<typeof plain>[0], for_s = 400): string {
  return `${plain(parts)}duty:\n  - { do: stall, with: M1, at: 0 s, for: ${for_s} s }\n`;
}

/** Integral of a recorded curve by the trapezium rule. */
export function integral(record: MatchRecord, name: string, of: (value: number) => number = (value) => value): number {
  const { time_s, columns } = record.curves!;
  const values = columns.find((column) => column.name === name)!.values;
  let sum = 0;
  for (let k = 1; k < time_s.length; k++) sum += ((of(values[k]!) + of(values[k - 1]!)) / 2) * (time_s[k]! - time_s[k - 1]!);
  return sum;
}
