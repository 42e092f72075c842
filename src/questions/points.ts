import type { PeakRequest } from '../engine/peaks.ts';
import type { Circuit } from '../machine/circuit/circuit.ts';
import type { Closing } from '../machine/circuit/power-up.ts';

/** The input of a part that too much voltage harms. */
export interface InputPoint {
  readonly part: string;
  readonly watch: number;
}

/** Inputs of the machine's converters, controllers and banks, in the order of the file. */
export function inputPoints(circuit: Circuit): InputPoint[] {
  return [...circuit.machine.parts.values()].flatMap((part) => {
    if (part.kind !== 'converter' && part.kind !== 'controller' && part.kind !== 'capacitors') return [];
    const watch = circuit.pointWatch.get(`${part.id}+`);
    return watch === undefined ? [] : [{ part: part.id, watch }];
  });
}

/** The highest voltage of every input after every closing, closing by closing. */
export function pointPeaks(points: readonly InputPoint[], closings: readonly Closing[]): PeakRequest[] {
  return closings.flatMap(({ time_s, until_s }) => points.map(({ watch }): PeakRequest => ({ of: { watch }, sign: 1, from_s: time_s, until_s })));
}
