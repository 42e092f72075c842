import { nearestGauge, awgSection_m2, gaugeName } from '../quantity/awg.ts';
import type { Machine } from '../machine/machine.ts';
import { colourCode } from './colours.ts';
import type { Wire } from './wires.ts';

/** What is added at each end to strip, crimp and dress a wire, m, and for bends, as a share. Common practice, no source. */
export const END_ALLOWANCE_M = 0.03;
export const BEND_ALLOWANCE = 0.05;
/** Wires are cut to whole half centimetres. */
const CUT_STEP_M = 0.005;

/** Length to cut a wire to, m: its length with the allowance for ends and bends, rounded up. */
export function cutLength_m({ conductor }: Wire): number {
  const length = conductor.length.value * (1 + BEND_ALLOWANCE) + 2 * END_ALLOWANCE_M;
  return Math.ceil(length / CUT_STEP_M - 1e-9) * CUT_STEP_M;
}

/** `8 AWG` where a section is a gauge to 1 %, otherwise empty. */
export function gaugeOf(section_m2: number): string {
  const gauge = nearestGauge(section_m2);
  return gauge !== undefined && Math.abs(section_m2 / awgSection_m2(gauge) - 1) <= 0.01 ? gaugeName(gauge) : '';
}

/** Colours by what a wire does, where the file names none: red for +, black for −. Common practice, no source. */
const BY_ROLE = { supply: 'RD', rail: 'OG', return: 'BK', 'signal ground': 'BN' } as const satisfies Record<Wire['role'], string>;

/** The colour as a code, with a star where the file does not say it; a − lead that the file only implies has not its + lead's colour. */
export function colourOf({ conductor, role, implied }: Wire): string {
  return conductor.colour === undefined || implied ? `${BY_ROLE[role]}*` : colourCode(conductor.colour);
}

/** How a wire ends at a part of each kind. Common practice, no source. */
const ENDS: Readonly<Record<string, string>> = {
  pack: 'pack lead', joint: 'crimped or soldered', fuse: 'ring terminal or holder', resistor: 'soldered, sleeved', bleed: 'soldered, sleeved', diode: 'ring terminal',
  isolator: 'ring terminal', link: 'socket contact', connector: 'plug contact', button: 'tab or solder', contactor: 'ring terminal', 'inrush limiter': 'crimped, kept off the insulation', capacitors: 'soldered or screwed',
  receiver: 'servo plug',
  servo: 'servo plug', lamp: 'soldered, sleeved', 'bench supply': 'laboratory plug', 'brake resistor': 'ring terminal',
};

/** `ring terminal / splice or bar`: from, to. */
export function terminationOf(machine: Machine, { fromPart, toPart }: Wire): string {
  const end = (id: string | undefined): string => {
    const kind = id === undefined ? undefined : machine.parts.get(id)?.kind;
    return kind === undefined ? 'bar or splice' : (ENDS[kind] ?? 'own terminal');
  };
  const [from, to] = [end(fromPart), end(toPart)];
  return from === to ? `both: ${from}` : `${from} / ${to}`;
}

/** What to print on a wire; the same at both ends, so that either tells where the other is. */
export function labelOf({ id, from, to }: Wire): string {
  return `${id} ${from} > ${to}`;
}
