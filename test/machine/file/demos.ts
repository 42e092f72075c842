import { readFileSync } from 'node:fs';

const root = new URL('../../../', import.meta.url);

export function fileText(path: string): string {
  return readFileSync(new URL(path, root), 'utf8');
}

export const DEMOS = ['machines/crush10s.yaml', 'machines/bar3s.yaml', 'machines/lift6s.yaml'] as const;

/** The smallest machine with a soft start; faults are planted in it. */
export const BENCH = `ampwright: 1
machine: BENCH
mass: 10 kg
parts:
  G1: { kind: pack, chemistry: lipo, cells: 6, capacity: 3.3 Ah }
  Q1: { kind: isolator, positions: { OFF: open, CHARGE: through R1, ON: direct } }
  R1: { kind: resistor, resistance: 33 Ω }
  F1: { kind: fuse, rating: 60 A }
  S1: { kind: button }
  R2: { kind: resistor, resistance: 10 Ω }
  T1: { kind: controller, motor current: 60 A, drives: M1 }
  M1: { kind: motor }
  T2: { kind: converter, output: 12 V, start: 9 V, stop: 7.5 V }
  K1: { kind: receiver }
wiring:
  pack: from G1+, 12 AWG 0.12 m, F1, to bar
  drive: from bar, Q1, 12 AWG 0.30 m, to T1
  bypass: from bar, S1, R2, to T1
  logic: from T1, 20 AWG 0.1 m, to T2
  radio: from T2 out, to K1
returns: all negatives on one bar, 0.2 mΩ a joint
procedure:
  - crew: transmitter on
  - turn Q1 to CHARGE
  - wait 2 s
  - turn Q1 to ON
`;

/** BENCH with one text replaced, which must be there. */
export function bench(found: string, replacement: string): string {
  if (!BENCH.includes(found)) throw new Error(`BENCH does not hold ${found}`);
  return BENCH.replace(found, replacement);
}
