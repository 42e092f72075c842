import { readFileSync } from 'node:fs';
import { editMachine, type MachineEdit } from '../../src/machine/file/edit.ts';
import { formatIssue } from '../../src/machine/file/issue.ts';
import { readMachine } from '../../src/machine/file/read.ts';
import type { Machine } from '../../src/machine/machine.ts';
import { study, type PlacedSoftStart, type Study } from '../../src/questions/study.ts';

export type DemoName = 'crush10s' | 'bar3s' | 'lift6s' | 'trk14s' | 'kart16s' | 'board10s';
/** The demos that the checks of single questions run on. */
export const DEMO_NAMES: readonly DemoName[] = ['crush10s', 'bar3s', 'lift6s'];
export const ALL_DEMOS: readonly DemoName[] = [...DEMO_NAMES, 'trk14s', 'kart16s', 'board10s'];

export function demoText(name: DemoName): string {
  return readFileSync(new URL(`../../machines/${name}.yaml`, import.meta.url), 'utf8');
}

/** The machine of a text that has to be without errors. */
export function machineOf(text: string): Machine {
  const file = readMachine(text);
  if (!file.ok) throw new Error(file.issues.map((issue) => formatIssue(issue, 'machine')).join('\n'));
  return file.machine;
}

export function studyOf(text: string): Study {
  return study(machineOf(text));
}

/** The text with values replaced or added; a path is written `parts.R1.resistance`, with list indices as numbers. */
export function edited(text: string, values: Readonly<Record<string, string>>): string {
  const edits = Object.entries(values).map(([path, value]): MachineEdit => ({ path: path.split('.').map((key) => (/^\d+$/.test(key) ? Number(key) : key)), text: value }));
  return editMachine(text, edits);
}

/** The soft start through a resistor, which the machine has to have. */
export function softStartOf(base: Study, resistor = 'R1'): PlacedSoftStart {
  const found = base.softStarts.find((softStart) => softStart.resistor === resistor);
  if (found === undefined) throw new Error(`no soft start through ${resistor}`);
  return found;
}

export interface Feed {
  readonly cells: number;
  readonly resistance_ohm: number;
  /** Capacitance, standby current and the voltage above which it flows, for each controller. */
  readonly controllers: readonly { readonly capacitance_F: number; readonly standby_A: number; readonly above_V: number }[];
  readonly converters: readonly { readonly power_W: number; readonly start_V: number; readonly stop_V: number }[];
  readonly wait_s?: number;
}

/**
 * A pack, an isolator with a charge position, and loads, with nothing else: source, leads, joints and series resistances
 * are so small against the soft start's resistor that hand algebra needs none of them.
 */
export function plainMachine({ cells, resistance_ohm, controllers, converters, wait_s = 5 }: Feed): string {
  const loads = [...controllers.map((_, k) => `T${k + 1}`), ...converters.map((_, k) => `T${k + 11}`)];
  return `ampwright: 1
machine: PLAIN
mass: 10 kg
parts:
  G1: { kind: pack, chemistry: lipo, cells: ${cells}, capacity: 20 Ah, cell resistance: 0.2 mΩ, full voltage: 4.2 V per cell }
  Q1:
    kind: isolator
    rating: 150 A
    closed resistance: 0.1 mΩ
    positions: { OFF: open, CHARGE: through R1, ON: direct }
    gap: 20 ms (10 to 40)
  R1: { kind: resistor, resistance: ${resistance_ohm} Ω }
${controllers.map((c, k) => `  T${k + 1}: { kind: controller, motor current: 100 A, capacitance: ${c.capacitance_F * 1e6} µF, series resistance: 2 mΩ, standby: ${c.standby_A * 1e3} mA, logic start: ${c.above_V} V }`).join('\n')}
${converters.map((c, k) => `  T${k + 11}: { kind: converter, output: 5 V, running: ${c.power_W} W, start: ${c.start_V} V, stop: ${c.stop_V} V, electrolytic: 20 µF, electrolytic resistance: 20 mΩ, ceramic: 0 F }`).join('\n')}
wiring:
  pack: from G1+, 35 mm² 0.10 m, to bar
  drive: from bar, Q1, 35 mm² 0.10 m, to drive
${loads.map((load) => `  to ${load}: from drive, to ${load}`).join('\n')}
returns: all negatives on one bar, 0.1 mΩ a joint
procedure:
  - turn Q1 to CHARGE
  - wait ${wait_s} s
  - turn Q1 to ON
`;
}

/** Full voltage of the plain machine's pack, V. */
export function packVoltage(feed: Feed): number {
  return 4.2 * feed.cells;
}
